"""Writes a shipped ear from a checkpoint: weights in 8 bits, a row at a time.

    python -m models.train.export own.npz models/own.onnx
    python -m models.train.export letters.npz models/letters.onnx
    python -m models.train.export first.onnx own.onnx --mix more.onnx --share 0.25

Each row of a weight has its own scale; the runtime turns them back into floats as it loads, so
all arithmetic is in single precision. Positions are computed, not stored. Input ``mel`` [1, 80,
frames], output ``scores`` [frames / 2, classes] (log probabilities). Prints the SHA-256, which
stands in assistant/hearing/own.py and letters.py.
"""

from __future__ import annotations

import argparse
import hashlib
from pathlib import Path

import numpy as np
import onnx
from onnx import TensorProto, helper, numpy_helper

WIDTH, HEADS, RECURRENT = 384, 6, 320


class Builder:
    """Collects nodes and weights of the graph; every method returns the name of its result."""

    def __init__(self, weights: dict[str, np.ndarray]) -> None:
        self.weights, self.nodes, self.constants, self.count = weights, [], [], 0

    def add(self, kind: str, *inputs: str, outputs: int = 1, **attributes: object) -> str:
        self.count += 1
        names = [f"{kind}_{self.count}" + (f"_{i}" if i else "") for i in range(outputs)]
        self.nodes.append(helper.make_node(kind, list(inputs), names, **attributes))
        return names[0]

    def constant(self, name: str, value: np.ndarray) -> str:
        self.constants.append(numpy_helper.from_array(value, name))
        return name

    def weight(self, name: str, turned: bool = False) -> str:
        value = self.weights[name].astype(np.float32)
        return self.constant(name, value) if value.ndim == 1 else self.small(name, value, turned)

    def small(self, name: str, value: np.ndarray, turned: bool = False) -> str:
        rows = value.reshape(value.shape[0], -1)
        scale = np.abs(rows).max(axis=1) / 127
        small = np.clip(np.round(rows / scale[:, None]), -127, 127).astype(np.int8)
        small = small.reshape(value.shape)
        if turned:
            small = np.ascontiguousarray(small.T)
        return self.add(
            "DequantizeLinear", self.constant(name, small), self.constant(name + ".scale", scale),
            axis=1 if turned else 0,
        )  # fmt: skip

    def linear(self, x: str, name: str) -> str:
        product = self.add("MatMul", x, self.weight(f"{name}.weight", turned=True))
        return self.add("Add", product, self.weight(f"{name}.bias"))

    def norm(self, x: str, name: str) -> str:
        return self.add("LayerNormalization", x, self.weight(f"{name}.weight"),
                        self.weight(f"{name}.bias"), axis=-1, epsilon=1e-5)  # fmt: skip

    def conv(self, x: str, name: str, stride: int = 1) -> str:
        made = self.add("Conv", x, self.weight(f"{name}.weight"), self.weight(f"{name}.bias"),
                        kernel_shape=[3], pads=[1, 1], strides=[stride])  # fmt: skip
        return self.add("Gelu", made)

    def positions(self, x: str) -> str:
        """Adds Whisper's sines and cosines for as many frames as there are."""
        rates = np.exp(-np.log(10000) / (WIDTH // 2 - 1) * np.arange(WIDTH // 2))
        length = self.add("Shape", x, start=1, end=2)
        scalar = self.add("Squeeze", length)
        zero, one = self.constant("zero", np.array(0)), self.constant("one", np.array(1))
        steps = self.add("Cast", self.add("Range", zero, scalar, one), to=TensorProto.FLOAT)
        column = self.add("Unsqueeze", steps, self.constant("axis1", np.array([1])))
        angles = self.add("Mul", column, self.constant("rates", rates.astype(np.float32)[None]))
        waves = self.add("Concat", self.add("Sin", angles), self.add("Cos", angles), axis=1)
        return self.add("Add", x, waves)

    def attention(self, x: str, name: str) -> str:
        qkv = self.linear(self.norm(x, f"{name}.attention_norm"), f"{name}.qkv")
        shape = "heads_shape"
        if not any(c.name == shape for c in self.constants):
            self.constant(shape, np.array([0, 0, 3 * HEADS, WIDTH // HEADS]))
            self.constant("flat_shape", np.array([0, 0, WIDTH]))
            self.constant("head_scale", np.array((WIDTH // HEADS) ** -0.5, np.float32))
            self.constant("thirds", np.array([HEADS] * 3))
        split = self.add("Reshape", qkv, shape)
        heads = self.add("Transpose", split, perm=[0, 2, 1, 3])
        q = self.add("Split", heads, "thirds", outputs=3, axis=1)
        k, v = f"{q}_1", f"{q}_2"
        weights = self.add("MatMul", self.add("Mul", q, "head_scale"),
                           self.add("Transpose", k, perm=[0, 1, 3, 2]))  # fmt: skip
        mixed = self.add("MatMul", self.add("Softmax", weights, axis=-1), v)
        joined = self.add("Reshape", self.add("Transpose", mixed, perm=[0, 2, 1, 3]), "flat_shape")
        return self.add("Add", x, self.linear(joined, f"{name}.out"))

    def both_ways(self, x: str, name: str) -> str:
        """A recurrent layer forwards and backwards: [1, time, in] → [1, time, 2 · RECURRENT].

        PyTorch stacks the gates as i, f, c, o; ONNX as i, o, f, c.
        """
        order = np.concatenate([np.arange(RECURRENT) + RECURRENT * gate for gate in (0, 3, 1, 2)])
        ways = ("l0", "l0_reverse")
        shape = self.constant("gates_shape", np.array([2, 4 * RECURRENT, -1]))
        matrices = []
        for kind in ("ih", "hh"):
            rows = [self.weights[f"{name}.weight_{kind}_{way}"][order] for way in ways]
            stacked = self.small(f"{name}.{kind}", np.concatenate(rows).astype(np.float32))
            matrices.append(self.add("Reshape", stacked, shape))
        biases = [
            np.concatenate(
                [self.weights[f"{name}.bias_{kind}_{way}"][order] for kind in ("ih", "hh")]
            )
            for way in ways
        ]
        bias = self.constant(f"{name}.bias", np.stack(biases).astype(np.float32))
        made = self.add("LSTM", self.add("Transpose", x, perm=[1, 0, 2]), *matrices, bias,
                        direction="bidirectional", hidden_size=RECURRENT)  # fmt: skip
        flat = self.constant("both_shape", np.array([0, 1, 2 * RECURRENT]))
        beside = self.add("Reshape", self.add("Transpose", made, perm=[0, 2, 1, 3]), flat)
        return self.add("Transpose", beside, perm=[1, 0, 2])

    def feed(self, x: str, name: str) -> str:
        wide = self.add("Gelu", self.linear(self.norm(x, f"{name}.feed_norm"), f"{name}.up"))
        return self.add("Add", x, self.linear(wide, f"{name}.down"))


def build(weights: dict[str, np.ndarray]) -> onnx.ModelProto:
    b = Builder(weights)
    x = b.conv("mel", "conv1")
    x = b.positions(b.add("Transpose", b.conv(x, "conv2", stride=2), perm=[0, 2, 1]))
    layers = {key.split(".")[1] for key in weights if key.startswith("layers.")}
    for index in sorted(layers):
        x = b.feed(b.attention(x, f"layers.{index}"), f"layers.{index}")
    x = b.norm(x, "norm")
    if "head_conv.weight" in weights:
        x = b.conv(b.add("Transpose", x, perm=[0, 2, 1]), "head_conv")
        x = b.add("Transpose", x, perm=[0, 2, 1])
    else:
        x = b.both_ways(x, "head_both")
    x = b.add("Squeeze", b.linear(x, "head"), b.constant("axis0", np.array([0])))
    b.nodes.append(helper.make_node("LogSoftmax", [x], ["scores"], axis=-1))
    classes = weights["head.bias"].size
    graph = helper.make_graph(
        b.nodes, "ear",
        [helper.make_tensor_value_info("mel", TensorProto.FLOAT, [1, 80, "frames"])],
        [helper.make_tensor_value_info("scores", TensorProto.FLOAT, ["steps", classes])],
        b.constants,
    )  # fmt: skip
    model = helper.make_model(graph, opset_imports=[helper.make_opsetid("", 20)], ir_version=9)
    onnx.checker.check_model(model)
    return model


def weights_of(path: Path) -> dict[str, np.ndarray]:
    """The weights of a checkpoint (.npz), or of an own ear that was written here (.onnx)."""
    if path.suffix == ".npz":
        return {key: value.astype(np.float32) for key, value in np.load(path).items()}
    arrays = {each.name: numpy_helper.to_array(each) for each in onnx.load(path).graph.initializer}
    found = {}
    for key, value in arrays.items():
        if not key.endswith((".weight", ".bias")):
            continue
        value = value.astype(np.float32)
        if (scale := arrays.get(f"{key}.scale")) is not None:
            # Matrices lie turned in the file; the scale is one a row of the weight as it was.
            value = value.T if value.ndim == 2 else value
            value = value * scale.reshape(-1, *[1] * (value.ndim - 1))
        found[key] = value
    return found


def mixed(first: Path, second: Path, share: float) -> dict[str, np.ndarray]:
    """The average of two runs' weights, ``share`` of the second in it."""
    a, b = weights_of(first), weights_of(second)
    return {key: (1 - share) * a[key] + share * b[key] for key in a}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("source", type=Path)
    parser.add_argument("target", type=Path)
    parser.add_argument("--mix", type=Path, help="another run, to average the weights with")
    parser.add_argument("--share", type=float, default=0.5, help="of the other run")
    arguments = parser.parse_args()
    source, target = arguments.source, arguments.target
    weights = mixed(source, arguments.mix, arguments.share) if arguments.mix else weights_of(source)
    data = build(weights).SerializeToString()
    target.write_bytes(data)
    print(f"{len(data) / 1e6:.2f} MB, SHA-256 {hashlib.sha256(data).hexdigest()}")


if __name__ == "__main__":
    main()
