"""The tab "Practise" without a browser: what its pages answer."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest
from starlette.testclient import TestClient

from assistant.practice.pages import TAB
from assistant.record.store import Store
from assistant.review.app import pages_of

HOST = "127.0.0.1:8000"


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    """A visitor whose home holds no session at all."""
    desk = SimpleNamespace(store=Store(tmp_path))
    pages = pages_of(desk, {HOST}, who="A. B.", those=(TAB,))  # type: ignore[arg-type]
    with TestClient(pages.app, base_url=f"http://{HOST}") as made:
        made.get(f"/open/{pages.key}", follow_redirects=False)
        made.headers["Origin"] = f"http://{HOST}"
        yield made


def post(client: TestClient, path: str, **fields: str) -> str:
    """The address that it leads to."""
    found = re.search(r'name="csrf" value="([^"]+)"', client.get("/practise").text)
    assert found is not None
    answer = client.post(path, data={"csrf": found[1], **fields}, follow_redirects=False)
    assert answer.status_code == 303, answer.text
    return answer.headers["location"].partition("#")[0]


def test_every_exercise_is_listed_and_one_is_proposed(client: TestClient) -> None:
    text = client.get("/practise").text
    assert text.count('action="/practise/begin/') >= 17
    assert "Next for A. B." in text


def test_an_exercise_is_done_and_marked_and_is_no_record(
    client: TestClient, tmp_path: Path
) -> None:
    at = post(client, "/practise/begin/docked_is_different")
    first = client.get(at).text
    assert '<svg class="scene"' in first
    assert "style=" not in first
    for line in ("guide front 102, rear -65, docked", "boundary front 136, rear -237", "done"):
        assert post(client, at, line=line) == at
    post(client, at, line="guide rear")
    text = client.get(at).text
    assert "75 of 100: passed" in text
    assert "may swing negative: normal" in text
    assert Store(tmp_path).sessions() == ()
    assert "So far" in client.get("/practise").text


def test_recordings_are_heard_and_heard_again(client: TestClient) -> None:
    at = post(client, "/practise/begin/listen_docked")
    assert client.get(f"{at}/sound.wav").headers["content-type"] == "audio/wav"
    assert client.get(f"{at}/again/0.wav").status_code == 404
    for line in ("docked, guide front 102, guide rear -65, boundary front 136", "quality 100"):
        post(client, at, line=line)
    post(client, at, line="done")
    post(client, at, line="none")
    assert len(client.get(f"{at}/again/0.wav").content) > 32_000
    assert client.get(f"{at}/again/7.wav").status_code == 404


def test_an_exercise_without_a_recording_has_no_sound(client: TestClient) -> None:
    at = post(client, "/practise/begin/first_minute")
    assert client.get(f"{at}/sound.wav").status_code == 404
    for line in ("undocked", "done", "none"):
        post(client, at, line=line)
    assert client.get(f"{at}/again/0.wav").status_code == 404


def test_what_is_typed_is_shown_and_never_run(client: TestClient) -> None:
    at = post(client, "/practise/begin/first_minute")
    post(client, at, line="<script>alert(1)</script>")
    assert "&lt;script&gt;alert(1)" in client.get(at).text
    assert "<script>alert" not in client.get(at).text


@pytest.mark.parametrize("path", ["/practise/nothing", "/practise/nothing/sound.wav"])
def test_an_exercise_that_is_over_is_told(path: str, client: TestClient) -> None:
    answer = client.get(path)
    assert answer.status_code == 404
    assert "Begin it again from the list" in answer.text


def test_an_unknown_exercise_is_answered_with_the_nearest(client: TestClient) -> None:
    token = re.search(r'name="csrf" value="([^"]+)"', client.get("/practise").text)
    assert token is not None
    answer = client.post("/practise/begin/first_minuet", data={"csrf": token[1]})
    assert answer.status_code == 404
    assert "first_minute" in answer.text


def test_a_line_sent_twice_after_the_end_changes_nothing(
    client: TestClient, tmp_path: Path
) -> None:
    at = post(client, "/practise/begin/first_minute")
    for line in ("undocked, guide front 102, rear 98", "done", "none", "none", "guide rear"):
        post(client, at, line=line)
    log = (tmp_path / "practice" / "practised.jsonl").read_text("utf-8")
    assert len(log.splitlines()) == 1


def test_after_a_line_the_next_can_be_typed_at_once(client: TestClient) -> None:
    """Beside a fragment in the address browsers don't put the focus where ``autofocus`` wants it;
    the marks at the end are what the page goes to."""
    at = post(client, "/practise/begin/first_minute")
    csrf = re.search(r'name="csrf" value="([^"]+)"', client.get("/practise").text)
    assert csrf is not None
    led_to = []
    for line in ("undocked", "done", "none"):
        sent = {"csrf": csrf[1], "line": line}
        answer = client.post(at, data=sent, follow_redirects=False)
        led_to.append(answer.headers["location"])
    assert led_to == [at, at, f"{at}#now"]
