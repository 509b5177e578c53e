"""Runs Kokoro's ONNX graph in PyTorch, so that a GPU can speak: fifty times faster than a core.

Only the operators that this one graph holds are here, in the forms in which it uses them; another
graph may meet an operator that is missing, and then ``Graph`` says so when it is made. Whole
numbers stay on the CPU, since nearly all of them are shapes.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import onnx
import torch
from onnx import helper, numpy_helper
from torch import Tensor
from torch.nn import functional

DTYPES = {1: torch.float32, 6: torch.int32, 7: torch.int64, 9: torch.bool}


Step = tuple[Callable[..., Any], list[str], list[str], dict[str, Any]]
"""Operator, names of what goes in and comes out, attributes."""


class Graph:
    """``graph({"tokens": …}) -> samples``; what depends on weights alone is computed once."""

    def __init__(self, model: onnx.ModelProto, device: torch.device) -> None:
        self._device = device
        self._values: dict[str, Tensor] = {"": torch.zeros(0)}
        for each in model.graph.initializer:
            self._values[each.name] = self._placed(numpy_helper.to_array(each))
        self._output = model.graph.output[0].name
        self._steps: list[Step] = []
        for node in model.graph.node:
            made = {each.name: helper.get_attribute_value(each) for each in node.attribute}
            if node.op_type == "LSTM":
                made = {"lstm": self._lstm(*node.input[1:4])}
            if node.op_type == "ConstantOfShape":
                made = {"fill": numpy_helper.to_array(made["value"]).item()}
            if node.op_type not in OPERATORS:
                raise NotImplementedError(f"Add {node.op_type} to models/train/torch_graph.py.")
            step = (OPERATORS[node.op_type], list(node.input), list(node.output), made)
            if all(name in self._values for name in node.input) and node.op_type != "LSTM":
                self._do(step, self._values)
            else:
                self._steps.append(step)
        self._done = self._last_uses()

    @torch.inference_mode()
    def __call__(self, feeds: dict[str, np.ndarray]) -> np.ndarray:
        values = dict(self._values)
        values.update((name, self._placed(each)) for name, each in feeds.items())
        for step, done in zip(self._steps, self._done, strict=True):
            self._do(step, values)
            for name in done:
                values.pop(name, None)
        return values[self._output].cpu().numpy()

    def _last_uses(self) -> list[list[str]]:
        """The results that nobody needs after each step: kept, they would fill the memory."""
        seen, done = {self._output}, []
        for _, inputs, outputs, _ in reversed(self._steps):
            made = {n for n in (*inputs, *outputs) if n and n not in self._values} - seen
            done.append(sorted(made))
            seen |= made
        return done[::-1]

    def _placed(self, array: np.ndarray) -> Tensor:
        tensor = torch.from_numpy(np.array(array))
        return tensor.to(self._device) if tensor.dtype in (torch.float32, torch.int8) else tensor

    def _do(self, step: Step, values: dict[str, Tensor]) -> None:
        operator, inputs, outputs, attributes = step
        found = operator(*[values[name] for name in inputs], **attributes)
        if isinstance(found, Tensor) and found.dtype == torch.float32:
            found = found.to(self._device)
        if isinstance(found, tuple):
            values.update(zip(outputs, found, strict=True))
        else:
            values[outputs[0]] = found

    def _lstm(self, w: str, r: str, b: str) -> torch.nn.LSTM:
        """ONNX stacks the gates as i, o, f, c; PyTorch as i, f, c, o."""
        wide, back, bias = (self._values[name].float() for name in (w, r, b))
        size = back.shape[2]
        lstm = torch.nn.LSTM(wide.shape[2], size, bidirectional=True)
        order = torch.cat([torch.arange(size) + size * gate for gate in (0, 2, 3, 1)])
        with torch.no_grad():
            for way, end in enumerate(("", "_reverse")):
                getattr(lstm, f"weight_ih_l0{end}").copy_(wide[way, order])
                getattr(lstm, f"weight_hh_l0{end}").copy_(back[way, order])
                getattr(lstm, f"bias_ih_l0{end}").copy_(bias[way, : 4 * size][order])
                getattr(lstm, f"bias_hh_l0{end}").copy_(bias[way, 4 * size :][order])
        return lstm.to(self._device).eval()


def _together(act: Callable[[Tensor, Tensor], Tensor]) -> Callable[[Tensor, Tensor], Tensor]:
    """On the device of the one that is not on the CPU."""

    def both(a: Tensor, b: Tensor) -> Tensor:
        if a.device != b.device:
            a, b = (a.to(b.device), b) if a.device.type == "cpu" else (a, b.to(a.device))
        return act(a, b)

    return both


def _joined(*parts: Tensor, axis: int) -> Tensor:
    places = [part.device for part in parts if part.device.type != "cpu"]
    return torch.cat([part.to(places[0]) for part in parts] if places else parts, axis)


def _divided(a: Tensor, b: Tensor) -> Tensor:
    return a / b if a.is_floating_point() else torch.div(a, b, rounding_mode="trunc")


def _gather(x: Tensor, where: Tensor, axis: int) -> Tensor:
    flat = torch.where(where < 0, where + x.shape[axis], where).reshape(-1).to(x.device)
    found = x.index_select(axis, flat.long())
    return found.reshape((*x.shape[:axis], *where.shape, *x.shape[axis + 1 :]))


def _slice(x: Tensor, starts: Tensor, ends: Tensor, *rest: Tensor) -> Tensor:
    first, last = starts.tolist(), ends.tolist()
    axes = rest[0].tolist() if rest else range(len(first))
    steps = rest[1].tolist() if len(rest) > 1 else [1] * len(first)
    place = [slice(None)] * x.dim()
    for axis, start, end, step in zip(axes, first, last, steps, strict=True):
        place[axis] = slice(start, end, step)
    return x[tuple(place)]


def _convolved(x: Tensor, weight: Tensor, *bias: Tensor, **how: Any) -> Tensor:
    left, right = how["pads"]
    if left != right:
        x, left = functional.pad(x, (left, right)), 0
    return functional.conv1d(
        x, weight, bias[0] if bias else None, how["strides"], left, how["dilations"], how["group"]
    )


def _spread(x: Tensor, weight: Tensor, *bias: Tensor, **how: Any) -> Tensor:
    extra = how.get("output_padding", [0])
    return functional.conv_transpose1d(
        x, weight, bias[0] if bias else None, how["strides"], how["pads"][0], extra, how["group"]
    )


def _reshaped(x: Tensor, shape: Tensor, **_: Any) -> Tensor:
    sizes = [x.shape[i] if size == 0 else size for i, size in enumerate(shape.tolist())]
    return x.reshape(sizes)


def _resized(x: Tensor, _: Tensor, scales: Tensor, **how: Any) -> Tensor:
    factor = float(scales[-1])
    if how["mode"] == b"nearest":
        return functional.interpolate(x, scale_factor=factor, mode="nearest")
    return functional.interpolate(x, scale_factor=factor, mode="linear", align_corners=False)


def _spectrum(x: Tensor, step: Tensor, window: Tensor, length: Tensor, **_: Any) -> Tensor:
    found = torch.stft(
        x.reshape(x.shape[0], -1), int(length), int(step), window=window, center=False,
        return_complex=True,
    )  # fmt: skip
    return torch.view_as_real(found.transpose(1, 2))


def _scattered(x: Tensor, places: Tensor, values: Tensor, **_: Any) -> Tensor:
    found = x.clone()
    found[tuple(places.to(x.device).unbind(-1))] = values.to(x.device)
    return found


def _heard_on(x: Tensor, _w: Tensor, _r: Tensor, _b: Tensor, *_: Tensor, lstm: Any) -> Tensor:
    found, _state = lstm(x)
    return found.unflatten(2, (2, -1)).transpose(1, 2)


def _normed(x: Tensor, scale: Tensor, shift: Tensor, epsilon: float, **_: Any) -> Tensor:
    return functional.layer_norm(x, x.shape[-1:], scale, shift, epsilon)


def _at(x: Tensor, axes: Tensor, act: Callable[[Tensor, int], Tensor]) -> Tensor:
    """Axes are put in from the first on, and taken out from the last on."""
    for axis in axes.reshape(-1).tolist():
        x = act(x, axis)
    return x


OPERATORS: dict[str, Callable[..., Any]] = {
    "Add": _together(torch.add), "And": _together(torch.logical_and),
    "Atan": lambda x: torch.atan(x).nan_to_num(0.0),  # 0/0: silence has no phase
    "Cast": lambda x, to, **_: x.to(DTYPES[to]),
    "Clip": lambda x, low, _: x.clamp(min=low.to(x.device)),
    "Concat": _joined,
    "ConstantOfShape": lambda shape, fill: torch.full(shape.tolist(), fill),
    "Conv": _convolved, "ConvTranspose": _spread, "Cos": torch.cos,
    "CumSum": lambda x, axis, **_: torch.cumsum(x, int(axis)),
    "DequantizeLinear": lambda x, scale, zero: (x.float() - zero.float()) * scale,
    "Div": _together(_divided), "Equal": _together(torch.eq), "Exp": torch.exp,
    "Expand": lambda x, shape: x * torch.ones(shape.tolist(), dtype=x.dtype, device=x.device),
    "FastGelu": lambda x, bias: functional.gelu(x + bias, approximate="tanh"),
    "Floor": torch.floor,
    "FusedMatMul": lambda a, b, **_: _together(torch.matmul)(a.transpose(-1, -2), b),
    "Gather": _gather, "Greater": _together(torch.gt), "GreaterOrEqual": _together(torch.ge),
    "LSTM": _heard_on, "LayerNormalization": _normed,
    "LeakyRelu": lambda x, alpha: functional.leaky_relu(x, alpha), "Less": _together(torch.lt),
    "MatMul": _together(torch.matmul), "Mul": _together(torch.mul),
    "NonZero": lambda x: torch.nonzero(x).T, "Pad": lambda x, by, mode: functional.pad(
        x, by.tolist()[x.dim() - 1 :: x.dim()], mode=mode.decode()),
    "Pow": _together(torch.pow),
    "Range": lambda start, end, step: torch.arange(int(start), int(end), int(step)),
    "ReduceMean": lambda x, axes, **_: x.mean(axes.tolist(), keepdim=True),
    "ReduceSum": lambda x, axes, **_: x.sum(axes.tolist()), "Reshape": _reshaped,
    "Resize": _resized, "Round": torch.round, "STFT": _spectrum, "ScatterND": _scattered,
    "Shape": lambda x, **_: torch.tensor(x.shape), "Sigmoid": torch.sigmoid, "Sin": torch.sin,
    "SkipLayerNormalization": lambda x, y, scale, shift, epsilon: _normed(
        x + y, scale, shift, epsilon),
    "Slice": _slice, "Softmax": lambda x, axis: torch.softmax(x, axis),
    "Split": lambda x, sizes, axis: torch.split(x, sizes.tolist(), axis), "Sqrt": torch.sqrt,
    "Squeeze": lambda x, axes: _at(x, axes.sort(descending=True).values, torch.squeeze),
    "Sub": _together(torch.sub), "Tanh": torch.tanh,
    "Transpose": lambda x, perm: x.permute(perm),
    "Unsqueeze": lambda x, axes: _at(x, axes.reshape(-1).sort().values, torch.unsqueeze),
    "Where": lambda test, a, b: torch.where(*[y.to(a.device) if a.dim() or a.device.type != "cpu"
        else y.to(b.device) for y in (test, a, b)]),
}  # fmt: skip
