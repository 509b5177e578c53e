"""What a supervisor sees and does, over real HTTP."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from assistant.record.audio import AudioFolder
from assistant.record.store import Store
from tests.depot.hollin_bank import CLEAN, Bench

from .conftest import Told, a_depot, a_heard_session
from .served import Served, csrf, serving


@pytest.fixture(scope="module")
def changing(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Served, Told]]:
    """A server of its own for what changes sessions."""
    home = tmp_path_factory.mktemp("changing")
    told = a_depot(home)
    with serving(home) as running:
        yield running, told


@pytest.fixture
def visitor(changing: tuple[Served, Told]) -> Iterator[httpx.Client]:
    with changing[0].visitor() as client:
        yield client


def heard(changing: tuple[Served, Told]) -> tuple[str, str]:
    return a_heard_session(Store(changing[0].home))


def send(client: httpx.Client, path: str, **fields: str) -> httpx.Response:
    return client.post(path, data={"csrf": csrf(client), "who": "MB", **fields})


def moment(client: httpx.Client, session: str, entry: str) -> str:
    """One entry as the page shows it, without markup."""
    text = client.get(f"/sessions/{session}").text
    match = re.search(rf'<li id="e{entry}".*?</div>\n</li>', text, re.S)
    assert match is not None, text
    return " ".join(re.sub(r"<[^>]+>", " ", match[0]).split())


def signature(client: httpx.Client, session: str) -> tuple[str, str]:
    """The words of the sign-off, and the state that its form would sign."""
    text = client.get(f"/sessions/{session}").text
    words = re.sub(r"<[^>]+>", " ", text[text.index('id="signature"') :])
    state = re.search(r'name="state" value="([^"]+)"', text)
    return " ".join(words.split()), state[1] if state else ""


def correction(**fields: str) -> dict[str, str]:
    return {
        "label": "guide_signal@front",
        "state": "value",
        "value": "112",
        "context.station": "docked",
        "reason": "the sound says one one two",
    } | fields


def test_the_first_page_says_what_needs_a_look_most_pressing_first(
    served: Served, told: Told
) -> None:
    with served.visitor() as client:
        text = client.get("/").text
    places = [text.index(name) for name in (told.asked, told.faulty)]
    assert places == sorted(places)
    assert told.proven not in text
    assert "1 question open" in text or "2 questions open" in text
    assert re.search(r"</b> [12] flagged</span>", text)


def test_a_session_that_comes_while_the_pages_are_served_is_listed(served: Served) -> None:
    with served.visitor() as client:
        client.get("/sessions")
        new = Bench(served.home).session(*CLEAN, unit="88")
        assert new in client.get("/sessions?unit=88").text


def test_filters_and_search_find_sessions_and_say_when_none_fits(
    served: Served, told: Told
) -> None:
    with served.visitor() as client:
        assert told.faulty in client.get("/sessions?unit=14").text
        assert told.faulty not in client.get("/sessions?unit=23").text
        assert told.faulty in client.get("/sessions?search=misses+gate&outcome=faulty").text
        assert "No session fits" in client.get("/sessions?search=nowhere").text
        assert client.get("/sessions?since=yesterday").status_code == 404
        assert client.get("/sessions?after=nonsense").status_code == 404
        assert client.get("/sessions?outcome=nonsense&signed=perhaps").status_code == 200


def test_a_session_shows_each_reading_with_what_was_heard_and_what_follows(
    served: Served, told: Told
) -> None:
    with served.visitor() as client:
        line = moment(client, told.faulty, "4")
        text = client.get(f"/sessions/{told.faulty}").text
    assert "guide signal rear 70" in line
    assert "undocked" in line
    assert "rear seventy" in line
    assert "typed “" in line
    assert "front" in text
    assert "misses the station at the gate after rain" in text
    head = Store(served.home).read(told.faulty).head
    assert head in text
    assert f"{head[:4]} {head[4:8]}" in text


def test_a_reading_that_is_not_judged_says_why(
    changing: tuple[Served, Told], visitor: httpx.Client
) -> None:
    again = "undocked guide front forty one", "guide front ninety", "running hours twelve"
    name = Bench(changing[0].home).session(*again, unit="15")
    first, second, hours = (r.id for r in Store(changing[0].home).read(name).readings)
    assert "41 measured again later" in moment(visitor, name, first)
    assert "in tolerance" in moment(visitor, name, second)
    assert "no limit set" in moment(visitor, name, hours)


def test_a_sound_is_played_by_ranges_and_is_the_one_that_was_recorded(
    served: Served, told: Told
) -> None:
    path = f"/sessions/{told.heard}/sounds/{told.sound}.wav"
    with served.visitor() as client:
        assert path in client.get(f"/sessions/{told.heard}").text
        whole = client.get(path)
        part = client.get(path, headers={"Range": "bytes=44-1043"})
        beyond = client.get(path, headers={"Range": f"bytes={len(whole.content)}-"})
    assert whole.headers["Content-Type"] == "audio/wav"
    assert hashlib.sha256(whole.content).hexdigest() == told.sound
    assert part.status_code == 206
    assert part.content == whole.content[44:1044]
    assert part.headers["Content-Range"] == f"bytes 44-1043/{len(whole.content)}"
    assert beyond.status_code == 416


def test_a_sound_that_was_exchanged_is_not_played(
    changing: tuple[Served, Told], visitor: httpx.Client
) -> None:
    session, sound = heard(changing)
    path = changing[0].home / "sessions" / session / "audio" / f"{sound}.wav"
    path.write_bytes(path.read_bytes()[:-2] + b"xx")
    answer = visitor.get(f"/sessions/{session}/sounds/{sound}.wav")
    assert answer.status_code == 409
    assert "not the sound that was recorded" in answer.text


def test_where_a_sound_was_erased_the_page_says_by_which_rule(
    changing: tuple[Served, Told], visitor: httpx.Client
) -> None:
    session, sound = heard(changing)
    folder = changing[0].home / "sessions" / session / "audio"
    AudioFolder(folder).erase(sound, "rule of this depot: sound is erased after 30 days")
    line = moment(visitor, session, "2")
    assert "Sound erased (rule of this depot: sound is erased after 30 days)" in line
    assert sound[:8] in line
    gone = visitor.get(f"/sessions/{session}/sounds/{sound}.wav")
    assert gone.status_code == 404
    assert "sound is erased after 30 days" in gone.text


def test_a_correction_needs_a_reason_and_leaves_the_old_value_visible(
    changing: tuple[Served, Told], visitor: httpx.Client
) -> None:
    session, _ = heard(changing)
    journal = changing[0].home / "sessions" / session / "journal.jsonl"
    before = journal.read_bytes()
    path = f"/sessions/{session}/entries/2"
    assert send(visitor, path, **correction(reason=" ")).status_code == 409
    assert send(visitor, path, **correction(value="1+1")).status_code == 409
    assert send(visitor, path, **correction(label="nothing")).status_code == 409
    assert send(visitor, path, **correction(state="maybe")).status_code == 409
    where = {"context.station": "in the pond"}
    assert "Choose one of the page" in send(visitor, path, **correction(**where)).text
    assert "shorten the reason to 2000" in send(visitor, path, **correction(reason="x" * 2001)).text
    assert "up to 40 letters" in send(visitor, path, **correction(who="x" * 41)).text
    assert not (journal.parent / "review.jsonl").exists()
    done = send(visitor, path, **correction())
    assert done.headers["Location"] == f"/sessions/{session}?done=corrected#er2"
    line = moment(visitor, session, "r2")
    assert "guide signal front 112" in line
    assert "guide signal front 102, docked" in line
    assert "Corrected by MB: the sound says one one two" in line
    assert journal.read_bytes() == before


def test_a_change_needs_initials_once(changing: tuple[Served, Told], visitor: httpx.Client) -> None:
    session, _ = heard(changing)
    path = f"/sessions/{session}/notes"
    assert send(visitor, path, text="fine", who="").status_code == 409
    assert send(visitor, path, text="fine", who="RT").status_code == 303
    assert send(visitor, path, text="good", who="").status_code == 303
    text = visitor.get(f"/sessions/{session}").text
    assert text.count("Note by RT") == 2


def test_an_open_question_is_answered_and_its_number_is_not_suggested(
    changing: tuple[Served, Told], visitor: httpx.Client
) -> None:
    session, _ = heard(changing)
    path = f"/sessions/{session}/entries/3"
    form = visitor.get(path).text
    assert "the number was heard in two ways" in form
    assert re.search(r'name="value" value=""', form)
    assert "1 question open" in visitor.get(f"/sessions/{session}").text
    send(visitor, path, **correction(label="guide_signal@rear", value="−16"))
    assert "guide signal rear −16" in moment(visitor, session, "r2")
    assert "question open" not in visitor.get(f"/sessions/{session}").text


def test_which_reading_it_was_is_never_preselected_where_it_was_not_said(
    served: Served, told: Told
) -> None:
    bench = Bench(served.home)
    session = bench.session("signal one oh two, undocked", unit="90")
    with served.visitor() as client:
        form = client.get(f"/sessions/{session}/entries/2").text
        assert '<option value="" selected>choose which one</option>' in form
        assert form.count(" selected>") == 1
        answer = send(client, f"/sessions/{session}/entries/2", **correction(label=""))
        assert answer.status_code == 409
        assert "choose which reading it is" in answer.text


def test_an_answer_that_still_lacks_a_context_leaves_the_question_open(
    changing: tuple[Served, Told], visitor: httpx.Client
) -> None:
    session, _ = heard(changing)
    fields = correction(label="guide_signal@rear") | {"context.station": ""}
    send(visitor, f"/sessions/{session}/entries/3", **fields)
    assert "docked or undocked?" in moment(visitor, session, "r2")


def test_of_two_corrections_of_one_reading_the_second_is_told_what_took_its_place(
    changing: tuple[Served, Told], visitor: httpx.Client
) -> None:
    session, _ = heard(changing)
    path = f"/sessions/{session}/entries/2"
    assert send(visitor, path, **correction()).status_code == 303
    late = send(visitor, path, **correction(value="113"))
    assert late.status_code == 409
    assert "entry r2 took its place" in late.text
    assert "113" not in visitor.get(f"/sessions/{session}").text


def test_what_was_seen_is_corrected_by_a_choice_or_in_words(
    changing: tuple[Served, Told], visitor: httpx.Client
) -> None:
    name = Bench(changing[0].home).session("homing misses", "complaint hums", unit="12")
    session = Store(changing[0].home).read(name)
    homing, complaint = (item.id for item in session.observations)
    path = f"/sessions/{name}/entries"
    assert "homing: <span" in visitor.get(f"{path}/{homing}").text
    assert 'type="radio" name="value" value="finds"' in visitor.get(f"{path}/{homing}").text
    assert 'name="value" value="hums"' in visitor.get(f"{path}/{complaint}").text
    reason = {"reason": "the customer says so"}
    send(visitor, f"{path}/{homing}", value="finds", **reason)
    send(visitor, f"{path}/{complaint}", value="hums at the gate", **reason)
    told = [item.value for item in Store(changing[0].home).read(name).observations]
    assert told == ["finds", "hums at the gate"]
    assert visitor.get(f"{path}/99").status_code == 404


def test_what_is_withdrawn_stays_struck_with_the_reason(
    changing: tuple[Served, Told], visitor: httpx.Client
) -> None:
    session, _ = heard(changing)
    send(visitor, f"/sessions/{session}/entries/2/withdrawal", reason="wrong mower")
    line = moment(visitor, session, "2")
    assert "guide signal front 102" in line
    assert "withdrawn by MB: wrong mower" in line


def test_a_signature_shows_the_head_and_what_comes_later_shows_as_after_it(
    changing: tuple[Served, Told], visitor: httpx.Client
) -> None:
    session, _ = heard(changing)
    words, state = signature(visitor, session)
    assert "Not signed off yet" in words
    done = send(visitor, f"/sessions/{session}/sign-off", state=state)
    assert done.status_code == 303
    words, again = signature(visitor, session)
    head = Store(changing[0].home).read(session).head
    assert f"signed off by MB , 20{words.split(', 20')[1][:14]} UTC, under head {head[:8]}" in words
    assert again == ""
    send(visitor, f"/sessions/{session}/notes", text="one more thing")
    words, again = signature(visitor, session)
    assert "changed after sign-off" in words
    assert again


def test_who_signs_signs_what_was_shown(
    changing: tuple[Served, Told], visitor: httpx.Client
) -> None:
    session, _ = heard(changing)
    _, state = signature(visitor, session)
    send(visitor, f"/sessions/{session}/notes", text="meanwhile")
    late = send(visitor, f"/sessions/{session}/sign-off", state=state)
    assert late.status_code == 409
    assert "Not signed" in late.text


def test_a_broken_chain_is_told_and_heads_the_list(
    changing: tuple[Served, Told], visitor: httpx.Client
) -> None:
    session, _ = heard(changing)
    journal = changing[0].home / "sessions" / session / "journal.jsonl"
    journal.write_bytes(journal.read_bytes().replace(b'"102"', b'"103"'))
    text = visitor.get(f"/sessions/{session}").text
    assert "This record is damaged" in text
    assert "damaged at line 2" in text
    assert "Sign off what stands here" not in text
    front = visitor.get("/").text
    assert "journal broken" in front
    assert front.index(session) < front.index(changing[1].faulty)


def test_exports_are_saved_under_the_sessions_name(served: Served, told: Told) -> None:
    with served.visitor() as client:
        for kind, media, begins in (
            ("csv", "text/csv", b"session,"),
            ("json", "application/json", b"{"),
            ("xlsx", "application/vnd.openxmlformats", b"PK"),
        ):
            answer = client.get(f"/sessions/{told.faulty}/report.{kind}")
            assert answer.headers["Content-Type"].startswith(media)
            assert answer.headers["Content-Disposition"] == (
                f'attachment; filename="{told.faulty}.{kind}"'
            )
            assert answer.content.startswith(begins)
            listed = client.get(f"/sessions.{kind}?unit=14")
            assert listed.status_code == 200
            assert listed.content.startswith(begins[:1] if kind == "json" else b"")
            if kind != "xlsx":
                assert told.faulty in listed.text
                assert told.proven not in listed.text
        shown = client.get(f"/sessions/{told.faulty}/report.html")
        assert "Content-Disposition" not in shown.headers
        assert "guide signal" in shown.text


def test_hostile_words_stay_words(changing: tuple[Served, Told], visitor: httpx.Client) -> None:
    session, _ = heard(changing)
    hostile = '<script>alert(1)</script><img src=x onerror="alert(1)">{{7*7}}\u202e'
    send(visitor, f"/sessions/{session}/notes", text=hostile, who="<b>M</b>")
    text = visitor.get(f"/sessions/{session}").text
    assert "<script>alert" not in text
    assert "<img" not in text
    assert "<b>M</b>" not in text
    assert "\u202e" not in text
    assert "{{7*7}}" in text


def test_a_mower_and_the_depot_are_told_in_figures(served: Served, told: Told) -> None:
    with served.visitor() as client:
        mower = client.get("/units/23").text
        assert told.proven in mower
        assert "front loop sensor" in mower
        assert "three visits or more" in mower
        depot = client.get("/depot").text
        assert "Likeliest faults" in depot
        assert client.get("/units?unit=23").headers["Location"] == "/units/23"
        assert client.get("/depot?since=nonsense").status_code == 404


def test_a_depot_without_sessions_has_pages_too(tmp_path: Path) -> None:
    with serving(tmp_path) as running, running.visitor() as client:
        for path in ("/", "/sessions", "/units", "/depot", "/live"):
            answer = client.get(path)
            assert answer.status_code == 200, path
        assert "There are no sessions yet" in client.get("/sessions").text
