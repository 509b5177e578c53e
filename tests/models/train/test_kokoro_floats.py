"""An 8-bit graph in floats gives what it gave, but for the rounding."""

from __future__ import annotations

import numpy as np
import pytest

onnx = pytest.importorskip("onnx")
onnxruntime = pytest.importorskip("onnxruntime")

from onnx import TensorProto, helper, numpy_helper  # noqa: E402

from models.train.floats import in_floats  # noqa: E402

RNG = np.random.default_rng(4)


def _quantised(kind: str, x_shape: list[int], w_shape: list[int]) -> onnx.ModelProto:
    """One dynamically quantised product: the weight's scale 0.02, its zero point 3."""
    weight = RNG.integers(-100, 100, w_shape).astype(np.int8)
    nodes = [
        helper.make_node("DynamicQuantizeLinear", ["x"], ["q", "scale", "zero"]),
        helper.make_node(kind, ["q", "w", "zero", "w_zero"], ["whole"]),
        helper.make_node("Cast", ["whole"], ["float"], to=TensorProto.FLOAT),
        helper.make_node("Mul", ["scale", "w_scale"], ["both"]),
        helper.make_node("Mul", ["float", "both"], ["y"]),
    ]
    constants = {
        "w": weight,
        "w_zero": np.array(3, np.int8),
        "w_scale": np.array(0.02, np.float32),
    }
    graph = helper.make_graph(
        nodes,
        "one product",
        [helper.make_tensor_value_info("x", TensorProto.FLOAT, x_shape)],
        [helper.make_tensor_value_info("y", TensorProto.FLOAT, None)],
        [numpy_helper.from_array(value, name) for name, value in constants.items()],
    )
    return helper.make_model(graph, opset_imports=[helper.make_opsetid("", 17)], ir_version=8)


def _run(model: onnx.ModelProto, x: np.ndarray) -> np.ndarray:
    session = onnxruntime.InferenceSession(
        model.SerializeToString(), providers=["CPUExecutionProvider"]
    )
    return np.asarray(session.run(None, {"x": x})[0])


@pytest.mark.parametrize(
    ("kind", "x_shape", "w_shape"),
    [("MatMulInteger", [5, 8], [8, 6]), ("ConvInteger", [1, 4, 20], [3, 4, 5])],
)
def test_a_product_stays_the_same_but_for_rounding(
    kind: str, x_shape: list[int], w_shape: list[int]
) -> None:
    model = _quantised(kind, x_shape, w_shape)
    x = RNG.standard_normal(x_shape).astype(np.float32)
    before = _run(model, x)
    after = _run(in_floats(model), x)
    assert not np.array_equal(after, before)  # the roundings are gone
    assert np.abs(after - before).max() < 0.02 * np.abs(before).max()


def test_nothing_is_quantised_any_more() -> None:
    model = in_floats(_quantised("MatMulInteger", [5, 8], [8, 6]))
    kinds = {node.op_type for node in model.graph.node}
    assert kinds == {"MatMul", "Cast", "Mul"}
    assert {each.data_type for each in model.graph.initializer} == {TensorProto.FLOAT}
