"""Real speakers: the recordings in the source distribution of pocketsphinx 5.1.1.

    python -m models.train.real_speakers pocketsphinx-5.1.1/test/data

Prose of a LibriVox reader: errors of free phones, of the own ear and of pocketsphinx. Card names
and figures, several people: words in a small grammar, of both ears.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

import numpy as np
import soundfile
from pocketsphinx import Decoder as Sphinx

from assistant.audio.utterance import RATE, Utterance
from assistant.hearing.own import SHA256, AcousticModel, OwnEar
from assistant.hearing.phones import BOUNDARY, PHONES, Pronouncer
from assistant.hearing.pocketsphinx_ear import PocketsphinxEar
from assistant.profile.word_graph import WordGraph
from assistant.shipped import shipped
from models.train.distance import distance

FIGURES = "oh zero one two three four five six seven eight nine".split()
CARDS = "ace two three four five six seven eight nine ten jack queen king".split()
SUITS = "clubs spades hearts diamonds".split()


def card_graph() -> WordGraph:
    """Cards ("ten of clubs"), ranks alone and figures, any number of them."""
    arcs = [(0, word, 1) for word in dict.fromkeys(FIGURES + CARDS)]
    arcs += [(1, "of", 2), (1, "", 3), (3, "", 0)]
    arcs += [(2, suit, 3) for suit in SUITS]
    return WordGraph(tuple(arcs), 0, frozenset({3}))


def transcripts(path: Path) -> list[tuple[str, str]]:
    """(file stem, words) of a transcription file."""
    found = []
    for line in path.read_text().splitlines():
        if match := re.match(r"<s>\s*(.*?)\s*</s>\s*\((.*)\)", line):
            found.append((match[2], match[1]))
    return found


def sound(path: Path) -> np.ndarray:
    if path.suffix == ".raw":
        return np.fromfile(path, np.int16).astype(np.float32) / 32768
    samples, rate = soundfile.read(path, dtype="float32")
    assert rate == RATE, path
    return samples


def own_phones(model: AcousticModel, samples: np.ndarray) -> list[str]:
    best = model.scores(samples).argmax(axis=1)
    kept = [c for i, c in enumerate(best) if c and (i == 0 or c != best[i - 1])]
    return [PHONES[c - 1] for c in kept if c != BOUNDARY]


def sphinx_phones(decoder: Sphinx, samples: np.ndarray) -> list[str]:
    decoder.start_utt()
    decoder.process_raw((samples * 32767).astype(np.int16).tobytes(), full_utt=True)
    decoder.end_utt()
    return [seg.word for seg in decoder.seg() if seg.word in PHONES]


def main() -> None:
    data = Path(sys.argv[1])
    model = AcousticModel(shipped("models") / "own.onnx", SHA256)
    from pocketsphinx import get_model_path

    sphinx = Sphinx(allphone=get_model_path("en-us/en-us-phone.lm.bin"), lw=2.0, loglevel="FATAL")
    wrong, total = [0, 0], 0
    pronouncer = Pronouncer()
    for stem, text in transcripts(data / "librivox" / "transcription"):
        samples = sound(data / "librivox" / f"{stem}.wav")
        said = [p for word in text.split() for p in pronouncer.pronounce(word)[0]]
        total += len(said)
        for i, heard in enumerate((own_phones(model, samples), sphinx_phones(sphinx, samples))):
            wrong[i] += distance(heard, said)
    print(f"prose, phone errors: own {100 * wrong[0] / total:.1f} %, pocketsphinx with its phone "
          f"language model {100 * wrong[1] / total:.1f} % of {total}")  # fmt: skip
    graph = card_graph()
    items = transcripts(data / "cards" / "cards.transcription")
    pieces = [(text, sound(data / "cards" / f"{stem}.wav")) for stem, text in items]
    pieces.append(("two nine three four zero", sound(data / "tidigits" / "dhd.2934z.raw")))
    for ear in (OwnEar(graph, {}), PocketsphinxEar(graph, {})):
        wrong_words = words = 0
        for text, samples in pieces:
            end = samples.size / RATE
            found = ear.hear(Utterance(samples, RATE, 0.0, end, 0.2, 0.2, "real")).hypotheses
            heard = found[0].text if found else ""
            wrong_words += distance(heard.split(), text.split())
            words += len(text.split())
            print(f"  {ear.name}: {text!r} heard as {heard!r}")
        print(f"cards and figures, word errors of {ear.name}: {wrong_words} of {words}")


if __name__ == "__main__":
    main()
