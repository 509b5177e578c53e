"""A stage imports only stages to its left, and what stands beside the way for all."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "assistant"
STAGES = ("audio", "hearing", "wording", "settling", "record", "diagnosis", "speaking")
BESIDE = {"profile", "numbers", "errors", "home", "shipped"}
"""What every stage may import; it imports no stage itself."""


def imported(path: Path) -> set[str]:
    """First names below ``assistant`` that a module imports, at its top or in a function."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        names = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: imports are absolute"
            names = [node.module or ""]
        found |= {name.split(".")[1] for name in names if name.startswith("assistant.")}
    return found


def modules(folder: str) -> list[Path]:
    found = sorted((PACKAGE / folder).glob("**/*.py"))
    assert found, f"{folder} holds no module"
    return found


@pytest.mark.parametrize("stage", STAGES)
def test_a_stage_imports_only_what_lies_to_its_left(stage: str) -> None:
    allowed = {*STAGES[: STAGES.index(stage) + 1], *BESIDE}
    for path in modules(stage):
        assert imported(path) <= allowed, path


def test_what_stands_beside_the_way_imports_no_stage() -> None:
    for path in [
        *modules("profile"),
        *modules("numbers"),
        PACKAGE / "errors.py",
        PACKAGE / "home.py",
        PACKAGE / "shipped.py",
    ]:
        assert imported(path) <= BESIDE, path


def test_diagnosis_reads_no_clock_file_or_random_source() -> None:
    forbidden = {"time", "datetime", "random", "secrets", "os", "pathlib", "io", "tempfile"}
    for path in modules("diagnosis"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Import):
                assert not {a.name.split(".")[0] for a in node.names} & forbidden, path
            elif isinstance(node, ast.ImportFrom):
                assert (node.module or "").split(".")[0] not in forbidden, path
            elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                assert node.func.id != "open", path


def test_no_module_is_longer_than_three_hundred_lines() -> None:
    for path in PACKAGE.glob("**/*.py"):
        lines = len(path.read_text("utf-8").splitlines())
        assert lines <= 300, f"{path} has {lines} lines: it holds two ideas"
