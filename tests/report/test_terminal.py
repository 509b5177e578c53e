from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace

import pytest
from hollin_bank import DIAGNOSIS, DOCKING, HOSTILE, SESSION
from rich.console import Console

from assistant.diagnosis.finding import Cause, Diagnosis, Finding
from assistant.profile.schema import Profile
from assistant.record.session import Note, Reading, Session
from assistant.report import Report
from assistant.report.printable import printable
from assistant.report.terminal import show_diagnosis, show_session


def shown(session: Session, profile: Profile, terminal: bool = False, whole: bool = True) -> str:
    out = io.StringIO()
    console = Console(file=out, force_terminal=terminal, width=100, highlight=False)
    show = show_session if whole else show_diagnosis
    show(session, DIAGNOSIS, profile, console)
    return out.getvalue()


def test_readings_findings_causes_and_next_check_are_shown(profile: Profile) -> None:
    text = shown(SESSION, profile)
    for words in (
        "Unit 47, KV",
        "guide signal rear   −65",
        "! suspect  front 46 is below the limit 67",
        "✕ fault  misses its station",
        "? contact voltage 20.1 V: open or loaded?",
        "87 of 100 █████████████████░░░ guide wire out of line",
        "for: front 46 is low",
        "Not ready for use, still to do: Stop button",
    ):
        assert words in text
    assert text.index("Caution: Isolate the supply.") < text.index("Next: First dock the mower")


def test_what_a_repair_has_mended_is_no_longer_wrong(profile: Profile) -> None:
    out = io.StringIO()
    mended = replace(DIAGNOSIS, still_flagged=(DOCKING,))
    show_diagnosis(SESSION, mended, profile, Console(file=out, width=100))
    wrong = out.getvalue().split("What is wrong")[1].split("Still to answer")[0]
    assert "misses its station" in wrong
    assert "front 46" not in wrong
    assert "Repair: gone: 98 after 46" in out.getvalue()


def test_the_diagnosis_alone_leaves_the_readings_out(profile: Profile) -> None:
    text = shown(SESSION, profile, whole=False)
    assert "heard guide_signal" not in text
    assert "87 of 100" in text


@pytest.mark.parametrize("hostile", HOSTILE)
def test_no_heard_word_steers_the_terminal(profile: Profile, hostile: str) -> None:
    bad = replace(SESSION.readings[0], heard=hostile, quantity=hostile)
    session = replace(SESSION, unit=hostile, who=hostile, readings=(bad,))
    plain = shown(session, profile)
    assert "\x1b" not in plain
    assert "\x07" not in plain
    assert "\u202e" not in plain
    styled = shown(session, profile, terminal=True)
    assert "\x1b[2J" not in styled
    assert "\x1b]0;" not in styled
    if "[bold red]" in hostile:
        assert "[bold red]markup[/]" in plain


def test_what_cannot_be_printed_is_marked_and_not_dropped() -> None:
    assert printable("a\x1bb\x9bc\u202ed\ud800e\nf") == "a\ufffdb\ufffdc\ufffdd\ufffde f"
    assert printable("Ω 12 µT − “é”") == "Ω 12 µT − “é”"


def test_a_report_of_many_readings_keeps_them_all(make: Callable[..., Report]) -> None:
    many: tuple[Reading, ...] = tuple(replace(SESSION.readings[0], id=str(i)) for i in range(300))
    report = make(readings=many, notes=(Note("1", "x"),))
    assert sum(len(rows) for rows in report.groups.values()) == 300


def test_a_session_without_readings_says_so_and_still_what_a_release_lacks(
    profile: Profile,
) -> None:
    empty = Session("20260504-080905-unit47-3fa9", "robot_mower")
    out = io.StringIO()
    console = Console(file=out, width=100)
    show_session(empty, Diagnosis(release_missing=("stop button",)), profile, console)
    text = out.getvalue()
    for words in (
        "Unit not named, session 20260504",
        "Nothing was judged yet.",
        "Not enough yet to name a cause.",
        "Nothing was measured yet.",
        "Not ready for use, still to do: stop button",
    ):
        assert words in text
    assert "Caution" not in text


def test_what_is_in_order_is_counted_and_causes_beyond_the_second_have_no_reasons(
    profile: Profile,
) -> None:
    ok = Finding("guide_signal_floor", "ok", ("2",), "front 102 is within limits")
    causes = tuple(Cause(f"c{n}", f"cause {n}", 0.3 - n / 10, (f"why {n}",)) for n in range(3))
    out = io.StringIO()
    found = Diagnosis(findings=(ok,), causes=causes, ready_for_use=True)
    show_diagnosis(SESSION, found, profile, Console(file=out, width=100))
    text = out.getvalue()
    assert "1 in order or not judged here" in text
    assert "for: why 1" in text
    assert "why 2" not in text
    assert "Next: Ready for use: the safety release is complete." in text
    assert "Not ready for use" not in text
