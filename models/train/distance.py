"""Levenshtein's distance between rows of anything."""

from __future__ import annotations

from collections.abc import Sequence


def distance(found: Sequence[object], wanted: Sequence[object]) -> int:
    row = list(range(len(wanted) + 1))
    for i, a in enumerate(found, 1):
        last, row[0] = row[0], i
        for j, b in enumerate(wanted, 1):
            last, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, last + (a != b))
    return row[-1]
