"""The graph of the twin against its recurrent layer written out."""

from __future__ import annotations

import numpy as np
import pytest

onnx = pytest.importorskip("onnx")
onnxruntime = pytest.importorskip("onnxruntime")

from onnx import TensorProto, helper  # noqa: E402

from models.train.export import RECURRENT, Builder  # noqa: E402

IN, TIME = 7, 9
RNG = np.random.default_rng(2)


def _sigmoid(x: np.ndarray) -> np.ndarray:
    return 1 / (1 + np.exp(-x))


def _forwards(x: np.ndarray, weights: dict[str, np.ndarray], way: str) -> np.ndarray:
    """A recurrent layer as PyTorch documents it: gates in the order i, f, g, o."""
    h = c = np.zeros(RECURRENT)
    rows = []
    for step in x:
        gates = weights[f"r.weight_ih_{way}"] @ step + weights[f"r.bias_ih_{way}"]
        gates = gates + weights[f"r.weight_hh_{way}"] @ h + weights[f"r.bias_hh_{way}"]
        i, f, g, o = np.split(gates, 4)
        c = _sigmoid(f) * c + _sigmoid(i) * np.tanh(g)
        h = _sigmoid(o) * np.tanh(c)
        rows.append(h)
    return np.array(rows)


def test_the_exported_recurrent_layer_is_the_trained_one() -> None:
    weights = {}
    for way in ("l0", "l0_reverse"):
        for kind, width in (("ih", IN), ("hh", RECURRENT)):
            weights[f"r.weight_{kind}_{way}"] = RNG.normal(0, 0.2, (4 * RECURRENT, width))
            weights[f"r.bias_{kind}_{way}"] = RNG.normal(0, 0.2, 4 * RECURRENT)
    b = Builder(weights)
    out = b.both_ways("x", "r")
    graph = helper.make_graph(
        b.nodes,
        "both ways",
        [helper.make_tensor_value_info("x", TensorProto.FLOAT, [1, "time", IN])],
        [helper.make_tensor_value_info(out, TensorProto.FLOAT, None)],
        b.constants,
    )
    model = helper.make_model(graph, opset_imports=[helper.make_opsetid("", 20)], ir_version=9)
    options = onnxruntime.SessionOptions()
    options.add_session_config_entry("session.disable_quant_qdq", "1")
    session = onnxruntime.InferenceSession(
        model.SerializeToString(), options, providers=["CPUExecutionProvider"]
    )
    x = RNG.normal(0, 1, (TIME, IN)).astype(np.float32)
    (found,) = session.run(None, {"x": x[None]})
    ahead = _forwards(x, weights, "l0")
    back = _forwards(x[::-1], weights, "l0_reverse")[::-1]
    wanted = np.concatenate([ahead, back], axis=1)
    # Weights in 8 bits: half a step of the largest is 0.3 %.
    assert np.abs(found[0] - wanted).max() < 0.03
