"""What the training voices say: readings in every form, loose words, and general English.

Run as a program it writes ``jobs.jsonl``, one line for each thing to be synthesised: the engine,
the speaker's number, the text, eSpeak NG's IPA of it, and the model's classes that it should give.
Needs the Debian packages ``fortunes`` and ``fortunes-min`` for general English.
"""

from __future__ import annotations

import argparse
import json
import random
import re
from collections.abc import Iterator
from pathlib import Path

from assistant.hearing.espeak_ipa import ipa
from assistant.hearing.phones import Pronouncer, classes_of, cmudict

DIGITS = "zero one two three four five six seven eight nine".split()
TEENS = "ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split()
TENS = "twenty thirty forty fifty sixty seventy eighty ninety".split()
LABELS = (
    "guide;boundary;loop;signal;guide signal;boundary signal;loop signal;signal quality;quality;"
    "battery;battery voltage;contact;contacts;contact voltage;charging current;boundary resistance;"
    "guide resistance;tilt;station tilt;shift;wire shift;current;voltage;resistance;wire;station"
).split(";")
POSITIONS = "front;rear;front sensor;rear sensor;back sensor".split(";")
CONTEXTS = (
    "docked;undocked;in the station;out of the station;guide wire;boundary wire;open;loaded;"
    "no load;under load;before;after;before repair;after repair;before the repair;mower moved"
).split(";")
COMMANDS = (
    "correction;disregard;scratch that;say again;read back;read back all;affirm;affirmative;yes;"
    "correct;negative;no;wrong;stand by;go ahead;what next;next check;next;why;note;make a note;"
    "unit;switch to unit;back to unit;close job;close the job;no reading;off scale;over range;"
    "overload;no signal shown;stop;repeat;go on;help;done;part;minutes;release;check"
).split(";")
UNITS = (
    "volts volt amps amp ohms ohm millimetres millimetre millimeters percent degrees degree "
    "centimetres metres kilohms milliamps minutes hours"
).split()
FILLERS = "the is reads reading shows at now uh um er and on we have it's a left right".split()
OTHER_NUMBERS = (
    "oh o nought niner double triple half quarter hundred thousand point decimal minus negative "
    "plus and first second third"
).split()
LONE = (
    "docked;undocked;affirm;affirmative;negative;correction;disregard;open;loaded;before;after;yes;"
    "no;next;why;note;done;stop;front;rear;oh;two;four;eight;ten;forty;say again;stand by"
).split(";")
"""Heard badly when nothing stands beside them, so said more often."""
ALIKE = [*zip(TEENS[3:], TENS[1:], strict=True), ("five", "nine"), ("docked", "undocked"),
         ("fifteen", "sixteen"), ("fifty", "sixty"), ("two", "ten"), ("oh", "four"),
         ("a hundred", "eight hundred"), ("before", "four"), ("front", "one")]  # fmt: skip
"""Words that are taken for one another. Common practice of speech recognition, no source."""
OTHER_TRADE = (
    "motor blade wheel charger connector joint cable fuse plug seal cover screw corroded loose "
    "damaged replaced cleaned tested collision lift safety brake fault code slope grass rain edge "
    "antenna supply level alpha bravo charlie delta echo kilo lima november tango zulu"
).split()
VOCABULARY = tuple(
    dict.fromkeys(
        " ".join(
            [*DIGITS, *TEENS, *TENS, *LABELS, *POSITIONS, *CONTEXTS, *COMMANDS, *UNITS, *FILLERS,
             *OTHER_NUMBERS, *OTHER_TRADE]
        ).split()
    )
)  # fmt: skip


def number(rng: random.Random) -> str:
    """A number as technicians say it: by digits, by words, with or without sign and point."""
    sign = rng.choice(["minus ", "minus ", "negative ", "plus "]) if rng.random() < 0.25 else ""
    whole = _whole(rng)
    form = rng.random()
    if form < 0.55:
        return sign + whole
    point = "decimal" if rng.random() < 0.15 else "point"
    lead = whole if form < 0.93 else rng.choice(["", "oh", "zero", "nought"])
    digits = " ".join(_digit(rng) for _ in range(rng.choice([1, 1, 2, 2, 3])))
    if rng.random() < 0.1:
        digits = _two(rng)
    return f"{sign}{lead} {point} {digits}".replace("  ", " ").strip()


def _digit(rng: random.Random) -> str:
    digit = rng.choice(DIGITS)
    if digit == "zero" and rng.random() < 0.6:
        return "oh"
    return "niner" if digit == "nine" and rng.random() < 0.1 else digit


def _two(rng: random.Random) -> str:
    value = rng.randint(10, 99)
    if value < 20:
        return TEENS[value - 10]
    tens, unit = TENS[value // 10 - 2], value % 10
    return tens if unit == 0 or rng.random() < 0.25 else f"{tens} {DIGITS[unit]}"


def _whole(rng: random.Random) -> str:
    form = rng.random()
    if form < 0.12:
        return rng.choice(DIGITS)
    if form < 0.40:
        return _two(rng)
    if form < 0.60:
        return " ".join(_digit(rng) for _ in range(rng.choice([2, 3, 3, 3, 4])))
    hundreds = rng.choice(["a", *DIGITS[1:]])
    if form < 0.82:
        tail = rng.choice(["", _two(rng), "and " + _two(rng), "and " + rng.choice(DIGITS[1:])])
        return f"{hundreds} hundred {tail}".strip()
    if form < 0.92:
        return f"{rng.choice(DIGITS[1:])} {rng.choice(['oh ' + rng.choice(DIGITS[1:]), _two(rng)])}"
    if form < 0.96:
        return f"{rng.choice([*TEENS, *TENS])} hundred"
    return f"{hundreds} thousand {rng.choice(['', _two(rng), 'two hundred', 'and ' + _two(rng)])}"


def reading(rng: random.Random) -> str:
    """One utterance of the bench: labels, contexts, a number, perhaps a unit or a command."""
    parts: list[str] = []
    if rng.random() < 0.2:
        parts.append(rng.choice(["correction", "disregard", "note", "unit", "no", "negative"]))
    if rng.random() < 0.25:
        parts.append(rng.choice(CONTEXTS))
    if rng.random() < 0.8:
        parts.append(rng.choice(LABELS))
    if rng.random() < 0.5:
        parts.append(rng.choice(POSITIONS))
    if rng.random() < 0.12:
        parts.append(rng.choice(FILLERS))
    parts.append(number(rng))
    if rng.random() < 0.3:
        parts.append(rng.choice(UNITS))
    if rng.random() < 0.2:
        parts += [rng.choice(POSITIONS), number(rng)]
    return " ".join(parts)


def alike(rng: random.Random) -> str:
    """A word that is easily taken for another, alone or where it does most harm."""
    word = rng.choice(rng.choice(ALIKE))
    form = rng.random()
    if form < 0.4:
        return word
    if form < 0.7:
        return f"{rng.choice([*LABELS, *POSITIONS, 'minus', 'minus'])} {word}"
    if form < 0.85:
        return f"{word} {rng.choice(['point', 'decimal'])} {_digit(rng)}"
    return f"{rng.choice(DIGITS[1:])} {'hundred and ' if rng.random() < 0.5 else ''}{word}"


def figures(rng: random.Random) -> str:
    """Digits in a row, half of them those that noise turns into one another, after a label."""
    easily = ("two", "three", "tree", "oh", "four", "five", "nine", "eight", "six", "ten")
    row = [
        rng.choice(easily) if rng.random() < 0.5 else _digit(rng) for _ in range(rng.randint(2, 5))
    ]
    if rng.random() < 0.3:
        row[-1] = rng.choice(TEENS + TENS)
    if rng.random() < 0.4:
        row.insert(rng.randint(1, len(row) - 1), rng.choice(["point", "point", "decimal"]))
    if rng.random() < 0.2:
        row.insert(0, rng.choice(["minus", "negative"]))
    if rng.random() < 0.5:
        row.insert(0, rng.choice(POSITIONS))
    if rng.random() < 0.5:
        row.insert(0, rng.choice(LABELS))
    return " ".join(row)


def in_pieces(rng: random.Random, text: str) -> str:
    """The same said carefully: paused after some words, as one dictates a list."""
    words = text.split()
    apart = rng.uniform(0.3, 1.0)
    pauses = ["," if w not in ("a", "the") and rng.random() < apart else "" for w in words[:-1]]
    return " ".join(word + pause for word, pause in zip(words, [*pauses, ""], strict=True))


def loose_words(rng: random.Random) -> str:
    """Words in no order, with pauses now and then: numbers as in a list."""
    words = [rng.choice(VOCABULARY) for _ in range(rng.randint(2, 6))]
    if rng.random() < 0.4:
        words = [rng.choice([*DIGITS, *TEENS, *TENS]) for _ in words]
    comma = rng.random() < 0.45
    return (", " if comma else " ").join(words)


def general(rng: random.Random, sentences: list[str], lexicon: list[str]) -> str:
    """A piece of general English, or words drawn from the whole of CMUdict."""
    if rng.random() < 0.25:
        return " ".join(rng.choice(lexicon) for _ in range(rng.randint(2, 5)))
    words = rng.choice(sentences).split()
    length = rng.randint(3, 12)
    start = rng.randrange(max(1, len(words) - length + 1))
    return " ".join(words[start : start + length])


def fortunes() -> list[str]:
    """Sentences of Debian's fortunes all of whose words CMUdict knows."""
    known = cmudict()
    found = []
    for path in sorted(Path("/usr/share/games/fortunes").iterdir()):
        if path.suffix or not path.is_file():
            continue
        text = path.read_text(encoding="utf-8", errors="ignore").replace("\n%\n", ". ")
        for sentence in re.split(r"[.!?;:()\"]+", " ".join(text.split())):
            words = re.sub(r"[^a-z' ]", " ", sentence.lower().replace("--", " ")).split()
            plain = len(words) >= 3 and not re.search(r"\d", sentence)
            if plain and all(word in known for word in words):
                found.append(" ".join(words))
    return found


KINDS = {"reading": 30, "alike": 12, "loose": 15, "general": 22, "word": 10, "lone": 11}
"""Parts in a hundred of what is said."""


def said(kind: str, rng: random.Random, sentences: list[str], lexicon: list[str]) -> str:
    """One text of a kind."""
    if kind == "reading":
        text = reading(rng)
        return in_pieces(rng, text) if rng.random() < 0.2 else text
    if kind == "alike":
        return alike(rng)
    if kind == "figures":
        return figures(rng)
    if kind == "loose":
        return loose_words(rng)
    if kind == "general":
        return general(rng, sentences, lexicon)
    if kind == "lone":
        return rng.choice(rng.choice([LONE, COMMANDS + CONTEXTS]))
    return rng.choice(rng.choice([VOCABULARY, DIGITS + TEENS + TENS]))


def late(ipa: str) -> str:
    """Thirteen to nineteen stressed on their end, as people say them to be understood."""
    return re.sub("ˈ([^ ]*?)t[ˌ]?iːn(?= |$)", r"\1tˈiːn", ipa)


def jobs(
    engine: str, speakers: range, each: int, kinds: dict[str, int], rng: random.Random
) -> Iterator[dict[str, object]]:
    """Things to say, by speaker."""
    sentences, lexicon = fortunes(), [w for w in cmudict() if w.isalpha() and len(w) > 2]
    pronouncer = Pronouncer()
    for speaker in speakers:
        for _ in range(each):
            kind = rng.choices(list(kinds), list(kinds.values()))[0]
            text = said(kind, rng, sentences, lexicon)
            words = re.sub("[^a-z' ]", " ", text).split()
            classes = [c for word in words for c in classes_of(pronouncer.pronounce(word)[0])]
            job: dict[str, object] = {
                "engine": engine, "speaker": speaker, "kind": kind, "text": text,
                "words": " ".join(words), "classes": classes,
            }  # fmt: skip
            if engine == "kokoro":
                accent = "en-gb" if speaker % 2 else "en-us"
                pieces = [ipa(piece.strip(), accent) for piece in text.split(",")]
                job["ipa"] = [late(piece) for piece in pieces] if rng.random() < 0.5 else pieces
            yield job


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--engine", choices=["kokoro", "espeak", "flite"], required=True)
    parser.add_argument("--speakers", type=int, required=True)
    parser.add_argument("--first", type=int, default=0, help="number of the first speaker")
    parser.add_argument("--each", type=int, default=14)
    parser.add_argument("--figures", type=int, default=0, help="parts of figures to 100 of others")
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    rng = random.Random(f"{arguments.engine}{arguments.seed}")
    speakers = range(arguments.first, arguments.first + arguments.speakers)
    kinds = {**KINDS, "figures": arguments.figures}
    with arguments.out.open("w", encoding="utf-8") as out:
        for job in jobs(arguments.engine, speakers, arguments.each, kinds, rng):
            out.write(json.dumps(job, ensure_ascii=False) + "\n")


if __name__ == "__main__":
    main()
