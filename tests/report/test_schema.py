"""The published schema says what the JSON report holds, no less and no more."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable, Iterator
from importlib.resources import files
from typing import Any

import jsonschema
import pytest

from assistant.record.session import SignOff
from assistant.report import Report
from assistant.report.json import document, to_json

SCHEMA = json.loads((files("assistant.report") / "session.schema.json").read_text("utf-8"))


def valid(content: Any) -> bool:
    return jsonschema.Draft202012Validator(SCHEMA).is_valid(content)


def test_the_schema_itself_is_one() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


def test_every_report_follows_it(report: Report, make: Callable[..., Report]) -> None:
    jsonschema.validate(json.loads(to_json(report)), SCHEMA)
    signed = SignOff("MB", "2026-05-05T08:00:00Z", "ab" * 32, True)
    jsonschema.validate(json.loads(to_json(make(signed=signed, readings=()))), SCHEMA)


@pytest.mark.parametrize(
    ("place", "value"),
    [
        (("readings", 0, "value"), 46),
        (("readings", 0, "value"), "46 V"),
        (("readings", 0, "value"), "1e3"),
        (("readings", 0, "value"), None),
        (("readings", 8, "state"), "unknown"),
        (("readings", 0, "status"), "guessed"),
        (("readings", 0, "context"), {"station": 1}),
        (("findings", 0, "verdict"), "fine"),
        (("causes", 0, "probability"), 1.2),
        (("verdict",), None),
        (("format",), 2),
        (("session", "signed"), {"who": "MB"}),
    ],
)
def test_what_is_wrong_is_refused(report: Report, place: tuple[Any, ...], value: Any) -> None:
    content = json.loads(to_json(report))
    *way, last = place
    inside = content
    for key in way:
        inside = inside[key]
    inside[last] = value
    assert not valid(content)


def test_a_key_that_readers_rely_on_is_missed(report: Report) -> None:
    content = json.loads(to_json(report))
    for name in SCHEMA["required"]:
        less = copy.deepcopy(content)
        del less[name]
        assert not valid(less), name


def test_every_key_of_a_report_is_described(report: Report, make: Callable[..., Report]) -> None:
    signed = SignOff("MB", "2026-05-05T08:00:00Z", "ab" * 32, True)
    for one in (report, make(signed=signed)):
        content = json.loads(json.dumps(document(one)))
        assert list(undescribed(content, SCHEMA)) == []


def undescribed(value: Any, schema: Any, place: str = "") -> Iterator[str]:
    """Keys of objects that the schema doesn't name, where it names keys at all."""
    if "$ref" in schema:
        schema = SCHEMA["$defs"][schema["$ref"].rpartition("/")[2]]
    for choice in schema.get("anyOf", ()):
        if jsonschema.Draft202012Validator({**choice, "$defs": SCHEMA["$defs"]}).is_valid(value):
            schema = (
                SCHEMA["$defs"][choice["$ref"].rpartition("/")[2]] if "$ref" in choice else choice
            )
    if isinstance(value, list):
        for item in value:
            yield from undescribed(item, schema.get("items", {}), f"{place}[]")
    elif isinstance(value, dict) and "properties" in schema:
        for key, inner in value.items():
            if key in schema["properties"]:
                yield from undescribed(inner, schema["properties"][key], f"{place}.{key}")
            else:
                yield f"{place}.{key}"
