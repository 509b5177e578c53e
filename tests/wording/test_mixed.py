"""Any row of statements, said in any of their forms, comes back as the same statements."""

from __future__ import annotations

import spoken_forms
from hypothesis import given, settings
from hypothesis import strategies as st
from said import short

from assistant.hearing.heard import HeardWord
from assistant.profile import load_profile, load_spoken
from assistant.wording.labels import label_phrases
from assistant.wording.parser import Parser
from assistant.wording.statement import ContextSaid, NotUnderstood, Statement

PROFILE, SPOKEN = load_profile(), load_spoken()
PARSER = Parser(PROFILE, SPOKEN)
PHRASES = label_phrases(PROFILE, SPOKEN)

Said = tuple[str, str]
"""The words, and the statement in short without its contexts."""


@st.composite
def readings(draw: st.DrawFn) -> Said:
    quantity = draw(st.sampled_from([q for q in PROFILE.quantity if not q.members]))
    label = draw(st.sampled_from(quantity.spoken))
    position = draw(st.sampled_from(quantity.positions)) if quantity.positions else None
    if position:
        said = draw(st.sampled_from(next(p.spoken for p in PROFILE.position if p.id == position)))
        label = draw(st.sampled_from([f"{label} {said}", f"{said} {label}"]))
    negative = draw(st.booleans())
    if quantity.decimals and draw(st.booleans()):
        whole = draw(st.integers(0, 99))
        decimals = draw(st.text("0123456789", min_size=1, max_size=2))
        said = draw(st.sampled_from(list(spoken_forms.decimal_forms(whole, decimals))))
        number = f"{whole}.{decimals}"
    else:
        whole = draw(st.integers(0, 9999))
        said = draw(st.sampled_from(list(spoken_forms.whole_forms(whole))))
        number = str(whole)
    if negative:
        said = f"{draw(st.sampled_from(SPOKEN.numbers.minus))} {said}"
        number = f"-{number}" if set(number) - {"0", "."} else number
    short_label = f"{quantity.id}@{position}" if position else quantity.id
    meant = f"{short_label} {number}"
    if quantity.unit_spoken and draw(st.booleans()):
        said = f"{said} {draw(st.sampled_from(quantity.unit_spoken))}"
        meant = f"{meant} {quantity.unit}"
    return f"{label} {said}", meant


@st.composite
def observations(draw: st.DrawFn) -> Said:
    seen = draw(st.sampled_from([o for o in PROFILE.observation if o.kind == "choice"]))
    choice = draw(st.sampled_from(seen.choice))
    said = f"{draw(st.sampled_from(seen.spoken))} {draw(st.sampled_from(choice.spoken))}"
    return said, f"{seen.id}: {choice.id}"


@st.composite
def contexts(draw: st.DrawFn) -> tuple[Said, ...]:
    """At most one value of each key that no label shares its words with."""
    deciding = {q.decided_by for q in PROFILE.quantity}
    keys = [c for c in PROFILE.context if c.id not in deciding]
    chosen = draw(st.lists(st.sampled_from(keys), unique_by=lambda c: c.id, max_size=2))
    said = []
    for context in chosen:
        value = draw(st.sampled_from(context.value))
        said.append((draw(st.sampled_from(value.spoken)), f"{context.id}={value.id}"))
    return tuple(said)


@st.composite
def utterances(draw: st.DrawFn) -> tuple[str, list[str]]:
    parts = list(draw(st.lists(st.one_of(readings(), observations()), min_size=1, max_size=4)))
    said_contexts = draw(contexts())
    for context in said_contexts:
        parts.insert(draw(st.integers(0, len(parts))), context)
    tail = " ".join(meant for _, meant in sorted_as_said(parts, said_contexts))
    meant = [f"{short_} {tail}".strip() if is_reading(short_) else short_ for _, short_ in parts]
    ending = draw(st.sampled_from(["", "", "say again", "note the seal looks tired"]))
    if ending:
        parts.append((ending, ""))
        meant.append("!say_again" if ending == "say again" else "note: the seal looks tired")
    return " ".join(said for said, _ in parts), meant


def sorted_as_said(parts: list[Said], chosen: tuple[Said, ...]) -> list[Said]:
    return [part for part in parts if part in chosen]


def is_reading(meant: str) -> bool:
    return "=" not in meant and ": " not in meant


@settings(max_examples=400, deadline=None)
@given(utterances())
def test_any_row_of_statements_is_understood_as_it_was_meant(
    utterance: tuple[str, list[str]],
) -> None:
    line, meant = utterance
    assert [short(statement) for statement in PARSER.parse_text(line)] == meant, line


VOCABULARY = sorted(
    {
        *PHRASES.vocabulary,
        *SPOKEN.numbers.digits,
        *SPOKEN.numbers.tens,
        *SPOKEN.numbers.scales,
        *SPOKEN.numbers.minus,
        *SPOKEN.numbers.point,
        *SPOKEN.numbers.repeat,
        *SPOKEN.numbers.fractions,
        *SPOKEN.numbers.joiner,
        "a",
        "102",
        "-65",
        "12.50",
        "correction",
        "banana",
    }
)


def once_each(statements: tuple[Statement, ...], line: str) -> None:
    """Every word is in one statement, unless it is a filler; an event's words are in each of the
    contexts that it ends."""
    held: list[HeardWord] = []
    events: set[tuple[HeardWord, ...]] = set()
    for statement in statements:
        if isinstance(statement, ContextSaid) and statement.value is None:
            if statement.words in events:
                continue
            events.add(statement.words)
        held += statement.words
    left = sorted(line.split())
    for word in held:
        left.remove(word.text)
    fillers = {word for filler in SPOKEN.fillers for word in filler.split()}
    assert fillers.issuperset(left), (line, left)


@settings(max_examples=1500, deadline=None)
@given(st.lists(st.sampled_from(VOCABULARY), max_size=14).map(" ".join))
def test_every_word_ends_up_in_one_statement(line: str) -> None:
    once_each(PARSER.parse_text(line), line)


@settings(max_examples=800, deadline=None)
@given(st.text(max_size=60))
def test_no_line_is_too_strange(line: str) -> None:
    for statement in PARSER.parse_text(line):
        assert statement.words


@settings(max_examples=300, deadline=None)
@given(
    utterances(),
    st.integers(0, 30),
    st.text("abcdefghijklmnopqrstuvwxyz", min_size=3, max_size=9),
)
def test_a_word_that_belongs_to_nothing_makes_the_whole_not_understood(
    utterance: tuple[str, list[str]], where: int, word: str
) -> None:
    """It may have been a figure, a sign, a label or a context."""
    line, _ = utterance
    strange = f"{word}qx"
    words = line.split()
    at = where % (len(words) + 1)
    if "note" in words and at > words.index("note"):
        at = 0
    words.insert(at, strange)
    (statement,) = PARSER.parse_text(" ".join(words))
    assert isinstance(statement, NotUnderstood)
    assert strange in statement.reason
