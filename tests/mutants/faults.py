"""The small faults that are put into code: in one constant, comparison, argument or statement."""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator
from copy import copy
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from types import CodeType
from typing import Any

SWAPPED: dict[type[ast.AST], type[ast.AST]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.And: ast.Or,
    ast.Or: ast.And,
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
    ast.BitOr: ast.BitAnd,
    ast.BitAnd: ast.BitOr,
    ast.Break: ast.Continue,
    ast.Continue: ast.Break,
}
NAMES = {"min": "max", "max": "min", "any": "all", "all": "any"}
NOT_RUN = {"annotation", "returns", "decorator_list", "type_params", "type_comment"}
NOTHING = ast.Constant(None)


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault within ``holder``; ``function`` has a name and a first line, None is on import."""

    holder: ast.AST
    line: int
    function: tuple[str, int] | None
    apply: Callable[[], None]
    undo: Callable[[], None]


@dataclass(frozen=True, slots=True)
class Mutant:
    """The fault of this number in a file. ``noticed`` names the test that failed: "" is none."""

    path: str
    number: int
    line: int
    function: tuple[str, int] | None
    before: str
    after: str
    noticed: str | None = None

    def code(self) -> CodeType:
        """The module with the fault in it."""
        tree = ast.parse(Path(self.path).read_text())
        list(faults(tree))[self.number].apply()
        return compile(ast.fix_missing_locations(tree), Path(self.path).resolve(), "exec")


def mutants(path: str) -> Iterator[Mutant]:
    for number, fault in enumerate(list(faults(ast.parse(Path(path).read_text())))):
        before = ast.unparse(fault.holder).splitlines()
        fault.apply()
        after = ast.unparse(fault.holder).splitlines()
        fault.undo()
        changed = [pair for pair in zip(before, after, strict=False) if pair[0] != pair[1]]
        yield Mutant(
            path, number, fault.line, fault.function, *(changed or [(before[0], "pass")])[0]
        )


def faults(tree: ast.Module) -> Iterator[Fault]:
    """Every fault of a module, always in the same order; apply one at most."""
    yield from _within(tree, None, 1)


def _within(node: ast.AST, function: tuple[str, int] | None, line: int) -> Iterator[Fault]:
    for name, value in ast.iter_fields(node):
        inside = function
        if isinstance(node, ast.FunctionDef) and name == "body" and not function:
            inside = node.name, min([node.lineno, *(each.lineno for each in node.decorator_list)])
        many = value if isinstance(value, list) else [value]
        for at, child in enumerate(many):
            if not isinstance(child, ast.AST) or name in NOT_RUN or _says_nothing(child):
                continue
            put = _putting(node, name, at if isinstance(value, list) else None)
            row = getattr(child, "lineno", line)
            for other in _others(child, name):
                yield Fault(node, row, inside, partial(put, other), partial(put, child))
            yield from _within(child, inside, row)


def _putting(node: ast.AST, name: str, at: int | None) -> Callable[[ast.AST], None]:
    def put(other: ast.AST) -> None:
        if at is None:
            setattr(node, name, other)
        else:
            getattr(node, name)[at] = other

    return put


def _says_nothing(node: ast.AST) -> bool:
    """Texts that document, imports, and what is there for the types alone."""
    match node:
        case ast.Expr(ast.Constant()) | ast.Import() | ast.ImportFrom():
            return True
        case ast.If(ast.Name("TYPE_CHECKING")):
            return True
    return False


def _others(node: ast.AST, field: str) -> Iterator[ast.AST]:
    match node:
        case ast.Constant(bool() as value):
            yield ast.Constant(not value)
        case ast.Constant(int() | float() as value):
            yield ast.Constant(value + 1)
        case ast.Constant(str() as value):
            yield ast.Constant(f"XX{value}XX")
        case ast.Name(name) if name in NAMES:
            yield ast.Name(NAMES[name], ast.Load())
        case ast.UnaryOp(ast.Not() | ast.USub(), operand):
            yield operand
        case ast.IfExp(test, body, orelse):
            yield ast.IfExp(test, orelse, body)
        case ast.Lambda(args):
            yield ast.Lambda(args, NOTHING)
        case ast.Slice(lower, upper, step):
            yield from [ast.Slice(None, upper, step)] if lower else []
            yield from [ast.Slice(lower, None, step)] if upper else []
        case ast.Call():
            yield from _other_calls(node)
        case ast.If() | ast.While():
            yield _changed(node, test=ast.UnaryOp(ast.Not(), node.test))
        case ast.Return() | ast.Assign() | ast.AnnAssign() | ast.NamedExpr() if _set(node.value):
            yield _changed(node, value=NOTHING)
        case ast.Expr() | ast.AugAssign():
            yield ast.Pass()
        case _ if type(node) in SWAPPED:
            yield SWAPPED[type(node)]()
    if field == "ifs":
        yield ast.UnaryOp(ast.Not(), node)


def _other_calls(call: ast.Call) -> Iterator[ast.Call]:
    for at, value in enumerate(call.args):
        if _set(value) and not isinstance(value, ast.Starred):
            yield _changed(call, args=[*call.args[:at], NOTHING, *call.args[at + 1 :]])
    for at, keyword in enumerate(call.keywords):
        rest = [*call.keywords[:at], *call.keywords[at + 1 :]]
        yield _changed(call, keywords=rest)
        if _set(keyword.value) and keyword.arg:
            yield _changed(call, keywords=[*rest, ast.keyword(keyword.arg, NOTHING)])


def _set(value: ast.AST | None) -> bool:
    return value is not None and not (isinstance(value, ast.Constant) and value.value is None)


def _changed(node: ast.AST, **fields: object) -> Any:
    other = copy(node)
    for name, value in fields.items():
        setattr(other, name, value)
    return other
