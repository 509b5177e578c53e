"""`benchcall demo`: the whole job on recordings, through the recognisers that are here."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from assistant.commands import app, main
from assistant.shipped import shipped
from assistant.truth import known_sessions


def test_the_demo_takes_down_what_was_said_and_nothing_else(tmp_path: Path) -> None:
    done = CliRunner().invoke(app, ["demo", "--out", str(tmp_path / "demo")])
    assert done.exit_code == 0, done.output
    counts = [f"(\\d+) {outcome}" for outcome in ("right", "asked", "missed", "wrong", "invented")]
    counted = re.search(r"Of (\d+) values said: " + ", ".join(counts), done.output)
    assert counted is not None, done.output
    said, right, asked, missed, wrong, invented = map(int, counted.groups())
    assert right + asked + missed + wrong == said == 40
    assert wrong == invented == 0
    assert right >= 30  # so many without the second ear
    assert "What next" in done.output
    mowers = len(known_sessions(shipped("demo_audio")))
    for kind in ("*.html", "*.wav", "**/journal.jsonl"):
        assert len(list((tmp_path / "demo").glob(kind))) == mowers, kind


def test_stopped_by_ctrl_c_it_says_that_nothing_is_lost(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stopped() -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("assistant.commands.app", stopped)
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == 130
    assert "on the disk" in capsys.readouterr().err
