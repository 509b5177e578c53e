"""Requests made up by a machine from a description of the pages: none may break the server."""

from __future__ import annotations

from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis.checks import not_a_server_error

from .conftest import Told
from .served import Served, csrf

TEXT = {"type": "string"}
EXPECTED = {200, 206, 303, 400, 403, 404, 405, 409, 413, 415, 421}
SLOW = list(HealthCheck)
FORM = "application/x-www-form-urlencoded"


def parameter(place: str, name: str, *examples: str) -> dict[str, Any]:
    """Half of the values are real ones, so that more than "not found" is reached."""
    schema: dict[str, Any] = {"anyOf": [{"enum": list(examples)}, TEXT]} if examples else TEXT
    return {"in": place, "name": name, "required": place == "path", "schema": schema}


def description(told: Told) -> dict[str, Any]:
    """OpenAPI 3.1 of every page that takes something."""
    session = parameter("path", "id", told.heard, told.faulty, "last", "..")
    entry = parameter("path", "entry", "2", "3", "r2", "0", "-1", "..")
    queries = {
        "/": ["after"],
        "/sessions": [
            "search",
            "unit",
            "technician",
            "cause",
            "outcome",
            "signed",
            "since",
            "until",
            "after",
        ],
        "/units": ["unit"],
        "/depot": ["since", "until"],
    }
    paths: dict[str, Any] = {
        path: {"get": {"parameters": [parameter("query", name) for name in names]}}
        for path, names in queries.items()
    }
    paths |= {
        "/sessions/{id}": {"get": {"parameters": [session]}},
        "/sessions/{id}/sounds/{name}": {
            "get": {"parameters": [session, parameter("path", "name", f"{told.sound}.wav")]}
        },
        "/sessions/{id}/report.{kind}": {
            "get": {"parameters": [session, parameter("path", "kind", "csv", "xlsx", "json")]}
        },
        "/units/{unit}": {"get": {"parameters": [parameter("path", "unit", "14")]}},
        "/static/{name}": {"get": {"parameters": [parameter("path", "name", "review.css")]}},
    }
    fields = {
        "notes": ["text", "who"],
        "sign-off": ["state", "who"],
        "entries/{entry}": ["label", "state", "value", "context.station", "reason", "who"],
        "entries/{entry}/withdrawal": ["reason", "who"],
    }
    for path, names in fields.items():
        shape = {"type": "object", "properties": dict.fromkeys(names, TEXT)}
        paths[f"/sessions/{{id}}/{path}"] = {
            "post": {
                "parameters": [session, *([entry] if "entry" in path else [])],
                "requestBody": {"required": True, "content": {FORM: {"schema": shape}}},
            }
        }
    for operations in paths.values():
        for operation in operations.values():
            operation["responses"] = {"default": {"description": "a page"}}
    info = {"title": "the pages", "version": "1"}
    return {"openapi": "3.1.0", "info": info, "paths": paths}


@pytest.fixture(scope="module")
def inside(served: Served) -> dict[str, str]:
    """The cookie and token of one who came in by the link."""
    with served.visitor() as visitor:
        [(name, value)] = visitor.cookies.items()
        return {"cookie": f"{name}={value}", "csrf": csrf(visitor)}


def test_no_request_breaks_the_server(served: Served, told: Told, inside: dict[str, str]) -> None:
    schema = schemathesis.openapi.from_dict(description(told))
    operations = [found.ok() for found in schema.get_all_operations()]
    assert len(operations) == 13
    everywhere = set()
    for operation in operations:
        reached: set[int] = set()

        @settings(max_examples=30, deadline=None, database=None, suppress_health_check=SLOW)
        @given(case=operation.as_strategy())
        def answered(case: Any) -> None:
            reached.add(status(case, served, inside))  # noqa: B023

        answered()
        assert reached <= EXPECTED, operation.label
        everywhere |= reached
    assert everywhere >= {200, 303, 404, 409}  # they came further than the door


def status(case: Any, served: Served, inside: dict[str, str]) -> int:
    if isinstance(case.body, dict):
        case.body["csrf"] = inside["csrf"]
    answer = case.call(
        base_url=served.base,
        headers={"Origin": served.base, "Cookie": inside["cookie"]},
        allow_redirects=False,
    )
    case.validate_response(answer, checks=(not_a_server_error,))
    if answer.status_code != 400:  # what is no HTTP is refused before it is a request
        assert "content-security-policy" in answer.headers
    return int(answer.status_code)
