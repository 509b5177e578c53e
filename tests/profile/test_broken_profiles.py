"""Each kind of mistake is told by file, line, place, what was found and what is allowed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import ProfileError, UnknownNameError
from assistant.profile import load_profile, load_spoken, read_profile
from assistant.profile.load import read_spoken
from assistant.shipped import shipped

MOWER = (shipped("grammars") / "robot_mower.toml").read_text("utf-8")

SMALL = """\
[profile]
id = "small"
title = "Small"
version = "1"
notice = "One depot's."

[[position]]
id = "near"
title = "near"
spoken = ["near"]

[[position]]
id = "far"
title = "far"
spoken = ["far"]

[[context]]
id = "engine"
title = "engine"
ask = "running or stopped?"
value = [
    { id = "running", spoken = ["running"] },
    { id = "stopped", spoken = ["stopped"] },
]

[[event]]
id = "restart"
spoken = ["restarted"]
ends = ["engine"]

[[quantity]]
id = "volts"
title = "volts"
spoken = ["voltage"]
unit = "V"
plausible = [0, 30]
positions = ["near", "far"]
needs = ["engine"]

[[observation]]
id = "belt"
title = "belt"
spoken = ["belt"]
kind = "choice"
choice = [
    { id = "tight", spoken = ["tight"] },
    { id = "slack", spoken = ["slack"], verdict = "out" },
]

[[tolerance]]
id = "running_volts"
quantity = "volts"
position = "near"
when = { engine = "running" }
low = 13.5
high = 14.8
reason = "the alternator charges"
source = "common practice, no source"

[[pair]]
id = "both_ends"
quantity = "volts"
positions = ["near", "far"]
max_difference = 0.5
reason = "the cable drops little"
otherwise = ""
source = "common practice, no source"

[[computed]]
id = "drop"
title = "drop"
calculation = "difference"
takes = { first = "volts", second = "volts" }
unit = "V"
high = 1
reason = "a drop"
source = "common practice, no source"

[[sign]]
id = "slack_belt"
title = "slack belt"
rule = "belt"
leak = 0.1
source = "common practice, no source"

[[sign]]
id = "far_low"
title = "far low"
rule = "both_ends"
lower = "far"
leak = 0.1
source = "common practice, no source"

[[cause]]
id = "belt"
title = "belt"
prior = 0.1
remedy = "tighten"
source = "common practice, no source"
[cause.shows]
slack_belt = 0.9

[[check]]
id = "look"
title = "look"
minutes = 1
tells = ["slack_belt"]
needs = { engine = "stopped" }

[[round]]
id = "all"
title = "all"
spoken = ["everything"]
step = [
    { take = "volts@near", say = "Volts near?", when = { engine = "running" } },
    { take = "belt", say = "Belt?" },
]
"""


def message(tmp_path: Path, text: str) -> str:
    path = tmp_path / "mine.toml"
    path.write_text(text, "utf-8")
    with pytest.raises(ProfileError) as caught:
        read_profile(path)
    return str(caught.value)


def line_with(text: str, words: str) -> int:
    return 1 + next(n for n, line in enumerate(text.splitlines()) if words in line)


def test_the_small_profile_is_right_as_it_stands(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(SMALL, "utf-8")
    assert read_profile(path).id == "small"


@pytest.mark.parametrize(
    ("right", "wrong", "place", "found", "allowed"),
    [
        # shape: pydantic's errors in plain words
        ("plausible = [0, 30]", 'plausible = "abc"', "quantity[0].plausible (volts)", "'abc'",
         "two numbers"),
        ("plausible = [0, 30]", 'plausible = [0, "x"]', "quantity[0].plausible[1]", "'x'",
         "a number"),
        ("plausible = [0, 30]", "plausible = [0, 30, 40]", "quantity[0].plausible", "3 items",
         "at most 2"),
        ("low = 13.5", "lo = 13.5", "tolerance[0].lo", "the field 'lo'", "did you mean low?"),
        ('title = "volts"', "", "quantity[0].title", "nothing", "must be there"),
        ('kind = "choice"', 'kind = "choise"', "observation[0].kind", "'choise'",
         "'choice', 'identifier' or 'text'"),
        ('id = "volts"', 'id = "Volts!"', "quantity[0].id", "'Volts!'", "small letters"),
        ('["voltage"]', '["voltage 2"]', "quantity[0].spoken[0]", "'voltage 2'", "numbers written"),
        ('["voltage"]', "[]", "quantity[0].spoken", "0 items", "at least 1"),
        ("leak = 0.1", "leak = 1.5", "sign[0].leak", "1.5", "less than 1"),
        ("slack_belt = 0.9", "slack_belt = 1.9", "cause[0].shows.slack_belt", "1.9",
         "less than or equal to 1"),
        ("minutes = 1", "minutes = 0", "check[0].minutes", "0", "greater than 0"),
        ("max_difference = 0.5", "max_difference = -1", "pair[0].max_difference", "-1",
         "greater than or equal to 0"),
        # links
        ('ends = ["engine"]', 'ends = ["engin"]', "event[0].ends[0]", "'engin'", "mean engine?"),
        ('needs = ["engine"]', 'needs = ["weather"]', "quantity[0].needs[0]", "'weather'",
         "engine"),
        ('positions = ["near", "far"]\nneeds', 'positions = ["near", "fat"]\nneeds',
         "quantity[0].positions[1]", "'fat'", "mean far?"),
        ('quantity = "volts"\nposition', 'quantity = "volt"\nposition', "tolerance[0].quantity",
         "'volt'", "mean volts?"),
        ('position = "near"', 'position = "middle"', "tolerance[0].position", "'middle'",
         "far, near"),
        ('when = { engine = "running" }\nlow', 'when = { engine = "runing" }\nlow',
         "tolerance[0].when.engine", "'runing'", "mean running?"),
        ('positions = ["near", "far"]\nmax', 'positions = ["far", "far"]\nmax',
         "pair[0].positions", "'far' twice", "two different"),
        ('second = "volts"', 'third = "volts"', "computed[0].takes", "no 'second'",
         "first, second"),
        ('second = "volts"', 'second = "amps"', "computed[0].takes.second", "'amps'", "volts"),
        ('rule = "belt"', 'rule = "bolt"', "sign[0].rule", "'bolt'", "mean belt?"),
        ('lower = "far"', 'lower = "left"', "sign[1].lower", "'left'", "far, near"),
        ("slack_belt = 0.9", "slack_bolt = 0.9", "cause[0].shows.slack_bolt", "'slack_bolt'",
         "mean slack_belt?"),
        ('tells = ["slack_belt"]', 'tells = ["noise"]', "check[0].tells[0]", "'noise'",
         "slack_belt"),
        ('needs = { engine = "stopped" }', 'needs = { motor = "stopped" }', "check[0].needs.motor",
         "'motor'", "engine"),
        ('take = "volts@near"', 'take = "volts@left"', "round[0].step[0].take", "'left'", "near"),
        ('take = "belt"', 'take = "bolt"', "round[0].step[1].take", "'bolt'", "mean belt?"),
        ('id = "far"', 'id = "near"', "position[1].id", "'near' a second time", "of its own"),
        ('id = "slack", spoken', 'id = "tight", spoken', "observation[0].choice",
         "'tight' 2 times", "of its own"),
        ('kind = "choice"', 'kind = "text"', "observation[0].choice", "2 choices", "only there"),
        ('verdict = "out" },', 'verdict = "ok" },', "sign[0].rule", "never gives", "can give it"),
        ('needs = ["engine"]\n', "", "tolerance[0].when.engine", "'engine'", "that volts needs"),
        ("positions = [\"near\", \"far\"]\nneeds", "decided_by = \"engine\"\npositions = "
         "[\"near\", \"far\"]\nneeds", "quantity[0]", "decided_by alone", "or neither"),
        # numbers and units
        ("low = 13.5", "low = 15.5", "tolerance[0].low", "low 15.5 above high 14.8", "at most"),
        ("high = 14.8", "high = 31", "tolerance[0].high", "31", "0 to 30"),
        ("low = 13.5\nhigh = 14.8\n", "", "tolerance[0]", "neither low nor high", "one of them"),
        ("plausible = [0, 30]", "plausible = [30, 0]", "quantity[0].plausible", "[30, 0]",
         "lower number first"),
        ("plausible = [0, 30]", "plausible = [0, inf]", "quantity[0].plausible", "[0, inf]",
         "lower number first"),
        ('unit = "V"\nplausible', 'unit = "Volt"\nplausible', "quantity[0].unit", "'Volt'", "UCUM"),
        # words
        ('["voltage"]', '["belt"]', "observation[0].spoken[0]", "the quantity volts too",
         "nothing else has"),
        ('["voltage"]', '["near"]', "quantity[0].spoken[0]", "the position near too",
         "nothing else has"),
        ('["voltage"]', '["next check"]', "quantity[0].spoken[0]", "the command next_check",
         "nothing else has"),
        ('["voltage"]', '["line two"]', "quantity[0].spoken[0]", "'two' in 'line two'",
         "without number words"),
        ('["slack"]', '["tight"]', "observation[0].choice[1].spoken[0]", "the choice tight",
         "nothing else has"),
    ],
)  # fmt: skip
def test_a_mistake_names_line_place_found_and_allowed(
    tmp_path: Path, right: str, wrong: str, place: str, found: str, allowed: str
) -> None:
    assert right in SMALL
    told = message(tmp_path, SMALL.replace(right, wrong, 1))
    row = next((row for row in told.splitlines() if place in row), told)
    assert row.startswith(str(tmp_path / "mine.toml"))
    assert re.search(r", line \d+, ", row), row
    assert place in row
    assert found in row.partition(": found ")[2].partition("; allowed: ")[0], row
    assert allowed in row.partition("; allowed: ")[2], row


def test_the_line_is_the_line_of_the_mistake(tmp_path: Path) -> None:
    for right, wrong in [
        ("plausible = [0, 30]", 'plausible = "abc"'),
        ('take = "belt"', 'take = "bolt"'),
        ("slack_belt = 0.9", "slack_bolt = 0.9"),
        ('{ id = "stopped", spoken = ["stopped"] }', '{ id = "stopped", spoken = ["st0pped"] }'),
    ]:
        text = SMALL.replace(right, wrong, 1)
        assert f", line {line_with(text, wrong)}, " in message(tmp_path, text)


def test_several_mistakes_are_told_at_once_in_the_order_of_the_file(tmp_path: Path) -> None:
    text = SMALL.replace('ends = ["engine"]', 'ends = ["x"]')
    text = text.replace('rule = "belt"', 'rule = "y"').replace('unit = "V"', 'unit = "Volt"')
    rows = message(tmp_path, text).splitlines()
    lines = [int(found[1]) for row in rows if (found := re.search(r"line (\d+)", row))]
    assert len(lines) == 4  # the computed rule's unit too
    assert lines == sorted(lines)


def test_a_hundred_mistakes_are_cut_short(tmp_path: Path) -> None:
    text = re.sub(r"^leak = .*$", "leak = 7", MOWER, flags=re.MULTILINE)
    rows = message(tmp_path, text).splitlines()
    assert len(rows) == 21
    assert rows[-1].endswith("more; mend these first.")


@pytest.mark.parametrize(
    ("text", "line", "found"),
    [
        ("[profile]\nid = \n", 2, "id ="),
        ('[profile]\nid = "x" "y"\n', 2, "id ="),
        ("a = 1\na = 2\n", 2, "a = 2"),
        ("\n\nwords without sense\n", 3, "words without sense"),
        ('a = "never closed', 1, "never closed"),
        ("a = [1, 2", 1, "a = [1, 2"),
    ],
)
def test_toml_that_cannot_be_read_is_told_by_its_line(
    tmp_path: Path, text: str, line: int, found: str
) -> None:
    told = message(tmp_path, text)
    assert f"line {line}: found" in told
    assert found in told
    assert "allowed: [[table]]" in told


def test_what_is_no_text_file_is_refused_with_its_reason(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_bytes(b"[profile]\nid = \xff\xfe\n")
    with pytest.raises(ProfileError, match=r"line 2: found bytes .*; allowed: a text file"):
        read_profile(path)
    with pytest.raises(ProfileError, match="is a folder"):
        read_profile(tmp_path)
    path.write_text("a = 1 #" + "x" * 500_000, "utf-8")
    with pytest.raises(ProfileError, match="more than 500000 bytes"):
        read_profile(path)
    path.write_text("a = " + "[" * 100_000, "utf-8")
    with pytest.raises(ProfileError, match=r"mine\.toml"):
        read_profile(path)


@pytest.mark.parametrize(
    ("mean", "found"),
    [
        ("[0, " + "9" * 5000 + "]", r"line 36: found a number of 5000 figures"),
        ("[0, 0x" + "f" * 5000 + "]", r"line 36, .*found a number without end"),
        ("[0, " + "9" * 400 + "]", r"line 36, .*found 9999"),
        ("[0, 1e999]", r"line 36, .*found \[0, inf\]"),
        ("[0, 30]\na" + ".a" * 100_000 + " = 1", r"line 37: found 100000 dots in one line"),
    ],
    ids=["decimal", "hexadecimal", "beyond a float", "exponent", "dotted key"],
)
def test_what_would_take_for_ever_to_read_is_refused_with_its_line(
    tmp_path: Path, mean: str, found: str
) -> None:
    """Of 100,000 parts, tomllib would take minutes for the dotted key."""
    path = tmp_path / "mine.toml"
    path.write_text(SMALL.replace("[0, 30]", mean), "utf-8")
    with pytest.raises(ProfileError, match=found):
        read_profile(path)


def test_a_name_that_nothing_has_lists_the_nearest(tmp_path: Path) -> None:
    with pytest.raises(UnknownNameError, match="Did you mean robot_mower"):
        load_profile("robot_mowr")
    with pytest.raises(UnknownNameError, match="There is no file"):
        load_profile(str(tmp_path / "none.toml"))
    for name in ("../grammars/robot_mower", "/etc/passwd", "spoken", ""):
        with pytest.raises(UnknownNameError, match="There is no profile"):
            load_profile(name)


def test_a_profile_is_data_and_does_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    load_spoken()
    path = tmp_path / "mine.toml"
    hostile = (
        "__import__('os').system('touch pwned') {{7*7}} %s ${HOME} ../../etc/passwd \\u001b[2J"
    )
    path.write_text(SMALL.replace('notice = "One depot\'s."', f'notice = "{hostile}"'), "utf-8")
    opened: list[object] = []
    real = Path.open

    def watched(self: Path, *args: object, **kwargs: object) -> object:
        opened.append(self)
        return real(self, *args, **kwargs)  # type: ignore[call-overload]

    monkeypatch.setattr(Path, "open", watched)
    monkeypatch.setattr("builtins.open", lambda *a, **k: pytest.fail("opened a file"))
    monkeypatch.setattr("os.system", lambda *a: pytest.fail("ran a command"))
    profile = read_profile(path)
    assert opened == [path]
    assert profile.profile.notice == hostile.replace("\\u001b", "\x1b")


def test_control_characters_of_a_file_reach_no_terminal(tmp_path: Path) -> None:
    told = message(tmp_path, SMALL.replace('kind = "choice"', 'kind = "\\u001b[2Jx\\u202e"'))
    assert all(c.isprintable() or c == "\n" for c in told)


@given(st.text(max_size=200))
def test_any_text_at_all_is_read_or_refused_in_plain_words(text: str) -> None:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "any.toml"
        path.write_bytes(text.encode("utf-8", "surrogatepass"))
        with pytest.raises(ProfileError, match=r"any.toml"):
            read_profile(path)


@given(st.data())
def test_a_profile_with_any_line_spoilt_is_read_or_refused_never_a_crash(
    data: st.DataObject,
) -> None:
    import tempfile

    lines = SMALL.splitlines()
    at = data.draw(st.integers(0, len(lines) - 1))
    end = data.draw(st.integers(0, len(lines[at])))
    lines[at] = lines[at][:end] + data.draw(st.text(max_size=8)) + lines[at][end + 3 :]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "spoilt.toml"
        path.write_bytes("\n".join(lines).encode("utf-8", "surrogatepass"))
        told = f"{path}: allowed: "
        try:
            read_profile(path)
        except ProfileError as error:
            told = str(error)
        assert told.startswith(str(path))
        assert "allowed: " in told


def test_the_spoken_words_are_checked_alike(tmp_path: Path) -> None:
    text = (shipped("grammars") / "spoken.toml").read_text("utf-8")
    path = tmp_path / "spoken.toml"
    path.write_text(text.replace('spoken = ["why"]', 'spoken = ["go ahead"]'), "utf-8")
    with pytest.raises(ProfileError, match=r"line \d+, command\[\d+\].*the command go_ahead too"):
        read_spoken(path)
    path.write_text(text.replace("twenty = 20", "ten = 20"), "utf-8")
    with pytest.raises(ProfileError, match=r"line \d+, numbers.tens.ten: .*numbers.teens too"):
        read_spoken(path)
