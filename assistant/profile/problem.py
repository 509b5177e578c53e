"""What is wrong with a TOML file, told with its place, what was found and what is allowed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel, ValidationError

from assistant.profile.nearest import nearest
from assistant.profile.toml_lines import Place, line_of, toml_lines

MOST_TOLD = 20

_ALLOWED = {
    "missing": "this field must be there",
    "string_type": "text in quotation marks",
    "float_type": "a number",
    "float_parsing": "a number",
    "int_type": "a whole number",
    "int_parsing": "a whole number",
    "int_from_float": "a whole number",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "dict_type": "a table of keys and values",
    "model_type": "a table of fields",
}
_PATTERNS = {
    r"^[a-z][a-z0-9_]*$": "small letters, figures and _, a letter first",
    r"^[a-z']+( [a-z']+)*$": "words in small letters with single spaces, numbers written out",
    r"^[a-z']+$": "one word in small letters",
    r"^[A-Z]{1,2}( [A-Z]{1,2})*$": 'phones in capitals, as in "AH N D AA K T"',
}


@dataclass(frozen=True, slots=True)
class Problem:
    """``place`` as in ``toml_lines``; ``found`` and ``allowed`` complete "found …; allowed: …"."""

    place: Place
    found: str
    allowed: str


def pydantic_problems(error: ValidationError, model: type[BaseModel]) -> list[Problem]:
    """Pydantic's errors in the words of one who edits the file."""
    return [_from_pydantic(dict(item), model) for item in error.errors(include_url=False)]


def told(file: str, text: str, data: dict[str, Any], problems: Iterable[Problem]) -> str:
    """One line a problem, in the order of the file, the first ``MOST_TOLD`` of them."""
    lines = toml_lines(text)
    rows = sorted((line_of(lines, p.place) or 0, index, p) for index, p in enumerate(problems))
    message = [
        f"{file}, {f'line {line}, ' if line else ''}{_path(p.place, data)}: "
        f"found {p.found}; allowed: {p.allowed}."
        for line, _, p in rows[:MOST_TOLD]
    ]
    if len(rows) > MOST_TOLD:
        message.append(f"{file}: {len(rows) - MOST_TOLD} more; mend these first.")
    return "\n".join(message)


def shown(value: object) -> str:
    """A found value, short enough for one line."""
    try:
        text = ascii(value) if not isinstance(value, str) else f"'{value}'"
    except ValueError:  # Python writes no whole number of more than 4300 figures
        text = "a number without end"
    text = "".join(c if c.isprintable() else "?" for c in text)
    return text if len(text) <= 60 else f"{text[:57]}…"


def _path(place: Place, data: dict[str, Any]) -> str:
    """``quantity[3].plausible (signal_quality)``: the items of a list are counted from 0."""
    path, name = "", ""
    here: Any = data
    for part in place:
        path += f"[{part}]" if isinstance(part, int) else f".{part}"
        try:
            here = here[part]
        except (KeyError, IndexError, TypeError):
            here = None
        if isinstance(here, dict) and isinstance(here.get("id"), str):
            name = f" ({shown(here['id'])[1:-1]})"
    return (path.removeprefix(".") or "the file") + name


def _from_pydantic(item: dict[str, Any], model: type[BaseModel]) -> Problem:
    kind, context = item["type"], item.get("ctx", {})
    place = tuple(part for part in item["loc"] if part != "[key]")
    found = shown(item["input"])
    if kind == "extra_forbidden":
        fields = _fields(model, place)
        name = str(place[-1])
        close = nearest(name, fields)
        hint = f" (did you mean {close[0]}?)" if close else ""
        return Problem(place, f"the field '{name}'", f"{', '.join(fields)}{hint}")
    if kind == "missing":
        found = "nothing"
    if kind in ("too_short", "too_long"):
        found = f"{context['actual_length']} items"
        bound = "min_length" if kind == "too_short" else "max_length"
        return Problem(
            place, found, f"{'at least' if kind == 'too_short' else 'at most'} {context[bound]}"
        )
    if kind == "tuple_type":
        return Problem(place, found, _list_of(model, place))
    if kind == "literal_error":
        return Problem(place, found, context["expected"])
    if kind == "string_pattern_mismatch":
        return Problem(place, found, _PATTERNS.get(context["pattern"], context["pattern"]))
    return Problem(place, found, _ALLOWED.get(kind, item["msg"].replace("Input should be ", "")))


def _fields(model: type[BaseModel], place: Place) -> list[str]:
    """The fields that the table around ``place`` may have."""
    return list(_around(model, place).model_fields)


def _around(model: type[BaseModel], place: Place) -> type[BaseModel]:
    """The model of the table that holds the last part of ``place``."""
    for part in place[:-1]:
        if isinstance(part, str) and part in model.model_fields:
            for inner in _models(model.model_fields[part].annotation):
                model = inner
    return model


def _models(annotation: Any) -> Iterable[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in getattr(annotation, "__args__", ()):
        yield from _models(inner)


def _list_of(model: type[BaseModel], place: Place) -> str:
    """What a list must hold: "two numbers" for a pair of limits."""
    field = _around(model, place).model_fields.get(str(place[-1]))
    if field is not None and field.annotation == tuple[float, float]:
        return "two numbers in square brackets"
    return "a list in square brackets"
