"""Low-rank changes of an encoder that else stays as it is (LoRA), merged when the run ends.

Tried and not shipped: models/README.md, "What was tried".
"""

from __future__ import annotations

import torch
from torch import Tensor, nn
from torch.nn.utils import parametrize

from models.train.network import Ear


class LowRank(nn.Module):
    """A weight that stays as it is, and a change of low rank that is learnt (LoRA)."""

    def __init__(self, weight: Tensor, rank: int) -> None:
        super().__init__()
        self.fall = nn.Parameter(torch.randn(rank, weight.shape[1]) / weight.shape[1] ** 0.5)
        self.rise = nn.Parameter(torch.zeros(weight.shape[0], rank))

    def forward(self, weight: Tensor) -> Tensor:
        return weight + self.rise @ self.fall


def keep_but_low_rank(ear: Ear, rank: int) -> None:
    """Leaves to learn the head, and low-rank changes of all matrices of the encoder's layers."""
    for key, parameter in ear.named_parameters():
        parameter.requires_grad_(key.startswith("head"))
    for layer in ear.layers:
        for each in (layer.qkv, layer.out, layer.up, layer.down):
            parametrize.register_parametrization(each, "weight", LowRank(each.weight, rank))


def merge(ear: Ear) -> None:
    """Makes plain weights of the low-rank changes."""
    for module in [each for each in ear.modules() if parametrize.is_parametrized(each)]:
        parametrize.remove_parametrizations(module, "weight")
