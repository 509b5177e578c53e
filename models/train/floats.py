"""Turns Kokoro's 8-bit ONNX graph into one that calculates in floats, which a CPU does faster.

    python -m models.train.floats kokoro.onnx kokoro_float.onnx

The weights keep their 8-bit values. What goes is the rounding of everything between them, and with
it the integer convolutions, for which the runtime has no fast code: each dynamic quantisation
becomes "as it is, scale one, zero point none". The weights' scales stay where they were, after the
products; the runtime folds them when it loads.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import onnx
from onnx import NodeProto, helper, numpy_helper

ONE, NONE = "as_it_is.scale", "as_it_is.zero"


def in_floats(model: onnx.ModelProto) -> onnx.ModelProto:
    """The same model with float arithmetic, changed in place; inputs and outputs stay."""
    graph = model.graph
    arrays = {each.name: each for each in graph.initializer}
    made = {ONE: np.array(1, np.float32), NONE: np.array(0, np.float32)}
    renamed: dict[str, str] = {}

    def unshifted(name: str, zero: str) -> str:
        """8-bit weights less their zero point, which is one number or one for each column."""
        shift = numpy_helper.to_array(arrays[zero]).astype(np.float32)
        made[f"{name}.float"] = numpy_helper.to_array(arrays[name]).astype(np.float32) - shift
        return f"{name}.float"

    def plain(node: NodeProto) -> NodeProto | None:
        if node.op_type == "DynamicQuantizeLinear":
            renamed.update(zip(node.output, (node.input[0], ONE, NONE), strict=True))
            return None
        if node.op_type in ("MatMulInteger", "ConvInteger"):
            inputs = [node.input[0], unshifted(node.input[1], node.input[3])]
            kind = node.op_type.removesuffix("Integer")
            return _like(node, kind, inputs)
        if node.op_type == "DynamicQuantizeLSTM":
            inputs = list(node.input[:8])
            for place in (1, 2):
                scale, zero = node.input[6 + 2 * place], node.input[7 + 2 * place]
                name = unshifted_lstm(node.input[place], scale, zero)
                inputs[place] = name
            return _like(node, "LSTM", inputs)
        # A bias was rounded to whole steps of the product's scale.
        if node.op_type in ("Floor", "Cast") and "bias_quant" in node.output[0]:
            renamed[node.output[0]] = node.input[0]
            return None
        return node

    def unshifted_lstm(name: str, scale: str, zero: str) -> str:
        """The LSTM's 8-bit weights are turned, and scaled by direction."""
        whole = numpy_helper.to_array(arrays[name]).astype(np.float32)
        each = (-1, 1, 1)
        shift = numpy_helper.to_array(arrays[zero]).astype(np.float32).reshape(each)
        steps = numpy_helper.to_array(arrays[scale]).reshape(each)
        made[f"{name}.float"] = np.ascontiguousarray(((whole - shift) * steps).transpose(0, 2, 1))
        return f"{name}.float"

    nodes = []
    for node in graph.node:
        node.input[:] = [renamed.get(name, name) for name in node.input]
        if (kept := plain(node)) is not None:
            nodes.append(kept)
    used = {name for node in nodes for name in node.input}
    weights = [each for each in graph.initializer if each.name in used]
    weights += [numpy_helper.from_array(each, name) for name, each in made.items() if name in used]
    for field, new in ((graph.node, nodes), (graph.initializer, weights), (graph.value_info, [])):
        del field[:]
        field.extend(new)
    return model


def _like(node: NodeProto, kind: str, inputs: list[str]) -> NodeProto:
    made = helper.make_node(kind, inputs, list(node.output), node.name)
    made.attribute.extend(node.attribute)
    return made


def main() -> None:
    onnx.save(in_floats(onnx.load(sys.argv[1])), Path(sys.argv[2]))


if __name__ == "__main__":
    main()
