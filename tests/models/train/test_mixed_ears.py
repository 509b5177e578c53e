"""An exported ear read back into weights, and the average of two."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

pytest.importorskip("onnx")

from models.train.export import build, mixed, weights_of

Weights = dict[str, np.ndarray]


def _ear(seed: int) -> Weights:
    """Random weights of an own ear of one layer, each row of another size."""
    rng = np.random.default_rng(seed)
    shapes = {
        "conv1": (384, 80, 3), "conv2": (384, 384, 3), "head_conv": (384, 384, 3),
        "layers.0.qkv": (1152, 384), "layers.0.out": (384, 384), "layers.0.up": (1536, 384),
        "layers.0.down": (384, 1536), "head": (41, 384),
    }  # fmt: skip
    norms = ("layers.0.attention_norm", "layers.0.feed_norm", "norm")
    weights = {}
    for name, shape in shapes.items():
        sizes = rng.uniform(0.1, 3, (shape[0], *[1] * (len(shape) - 1)))
        weights[f"{name}.weight"] = (rng.normal(0, 1, shape) * sizes).astype(np.float32)
        weights[f"{name}.bias"] = rng.normal(0, 1, shape[0]).astype(np.float32)
    for name in norms:
        weights[f"{name}.weight"] = rng.normal(1, 0.1, 384).astype(np.float32)
        weights[f"{name}.bias"] = rng.normal(0, 0.1, 384).astype(np.float32)
    return weights


def _half_a_step(weight: np.ndarray) -> np.ndarray:
    """The most that 8 bits a row can be off."""
    if weight.ndim == 1:
        return np.zeros_like(weight)
    largest = np.abs(weight).reshape(weight.shape[0], -1).max(axis=1) / 127
    return np.asarray(largest / 2).reshape(-1, *[1] * (weight.ndim - 1))


@pytest.fixture
def two(tmp_path: Path) -> tuple[Path, Path]:
    paths = (tmp_path / "first.onnx", tmp_path / "second.onnx")
    for seed, path in enumerate(paths):
        path.write_bytes(build(_ear(seed)).SerializeToString())
    return paths


def test_an_exported_ear_gives_its_weights_back_to_half_a_step(two: tuple[Path, Path]) -> None:
    found, wanted = weights_of(two[0]), _ear(0)
    assert set(found) == set(wanted)
    for key, weight in wanted.items():
        assert (np.abs(found[key] - weight) <= _half_a_step(weight) + 1e-5).all(), key


def test_a_mixture_holds_the_given_share_of_the_second_ear(two: tuple[Path, Path]) -> None:
    found, first, second = mixed(*two, 0.25), _ear(0), _ear(1)
    for key in first:
        wanted = 0.75 * first[key] + 0.25 * second[key]
        off = 0.75 * _half_a_step(first[key]) + 0.25 * _half_a_step(second[key])
        assert (np.abs(found[key] - wanted) <= off + 1e-5).all(), key


def test_an_ear_read_back_and_written_again_is_the_same_file(two: tuple[Path, Path]) -> None:
    again = build(weights_of(two[0])).SerializeToString()
    assert again == two[0].read_bytes()
