"""Every message of an error is read here as a tired technician reads it: what happened, what to do
next, in plain words."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant import errors

PACKAGE = Path(errors.__file__).parent
OURS = {
    name
    for name, found in vars(errors).items()
    if isinstance(found, type) and issubclass(found, errors.BenchcallError)
}
BIDS = re.compile(
    r"\b(?:add|ask|begin|check|choose|cite|collect|compare|copy|correct|delete|empty|end|fetch|"
    r"fix|free|get|give|go back|go on|install|leave|listen|look|measure|must|name|need|needs|open|"
    r"pause|pip install|plug|put|read|record|reinstall|remove|resample|restore|run|say|see|send|"
    r"set|shift|shorten|shows how|start|take|tried afresh|try|unset|use|wait|"
    r"without it|work|write)\b"
    r"|there are:|phones are:|it has:|the nearest:|here are:|allowed:|did you mean|\?$",
    re.IGNORECASE,
)
"""A word that bids, or the list of what there is instead."""
JARGON = re.compile(
    r"\b(?:errno|exception|traceback|stack|null|none type|stdin|stdout|utf-?8 codec|regex|parse|"
    r"deserial|invalid argument|nonetype|callback|thread|mutex|runtime|assert)\w*\b",
    re.IGNORECASE,
)
LONGEST = 90
"""Words."""


def text_of(node: ast.expr) -> str:
    """What the code says, with what is filled in as an ellipsis; advice made elsewhere ends it."""
    match node:
        case ast.Constant():
            return str(node.value)
        case ast.JoinedStr():
            return "".join(text_of(value) for value in node.values)
        case ast.BinOp():
            return text_of(node.left) + text_of(node.right)
    return "…"


def messages() -> Iterator[tuple[str, str]]:
    for path in sorted(PACKAGE.glob("**/*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if not isinstance(node, ast.Raise) or not isinstance(node.exc, ast.Call):
                continue
            call = node.exc
            if isinstance(call.func, ast.Name) and call.func.id in OURS and call.args:
                told = text_of(call.args[0])
                if told.strip("… "):  # else made elsewhere, from another message
                    yield f"{path.relative_to(PACKAGE)}:{node.lineno}", told


FOUND = tuple(messages())


def test_the_messages_were_found() -> None:
    assert len(FOUND) > 120


@pytest.mark.parametrize(("place", "told"), FOUND, ids=[place for place, _ in FOUND])
def test_a_message_says_what_happened_and_what_to_do(place: str, told: str) -> None:
    assert BIDS.search(told) or told.endswith(("…", "….")), f"nothing to do: {told}"
    assert not JARGON.search(told), told
    assert len(told.split()) <= LONGEST, told
