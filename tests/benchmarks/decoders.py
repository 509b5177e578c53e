"""kaldi-decoder beside the plain prefix search: the same scores, grammar and pronunciations.

    pip install kaldifst kaldi-decoder                (Apache-2.0; nothing else here needs them)
    python -m models.train.heldout --out DIR          (speaks the held-out recordings, once)
    python tests/benchmarks/decoders.py DIR [--ear letters] [--count 80] [--voices joe human]

Each recording is heard clean and amid one of six kinds of noise at 15 and 5 dB; then spoken prompts
and noise alone. The model runs once for each, and every decoder gets its very scores, one
decoder after the other for each recording, so that a busy machine slows all alike. Times are
processor time of one core; words, their times and the shares of the alternatives count as part
of decoding. The plain search makes its trees while it decodes. Memory is measured in a
process for each decoder, on the longest recordings.

The plain search sums the probabilities of all alignments of a phrase. A Viterbi search knows the
likeliest one only; a lattice can be summed (kaldi_search.py does, in Python) or not.
"""

from __future__ import annotations

import argparse
import importlib.util
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from typing import Any, Protocol

import numpy as np

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE)]

from decoder_tally import Answer, Said, Tally, report  # noqa: E402

from assistant.audio.utterance import RATE  # noqa: E402
from assistant.hearing.acceptor import Acceptor  # noqa: E402
from assistant.hearing.ctc import Decoder, Scores, Writing, free_score  # noqa: E402
from assistant.hearing.kept_acceptor import kept_acceptor  # noqa: E402
from assistant.hearing.letters import LettersEar  # noqa: E402
from assistant.hearing.own import ALTERNATIVES, AcousticModel, OwnEar  # noqa: E402
from assistant.hearing.phones import Pronouncer  # noqa: E402
from assistant.hearing.spelling import Speller  # noqa: E402
from assistant.profile import load_profile, load_spoken  # noqa: E402
from assistant.profile.sayable import word_graph  # noqa: E402
from assistant.shipped import shipped  # noqa: E402
from assistant.wording.parser import Parser  # noqa: E402
from models.train.evaluate import MARGIN  # noqa: E402
from models.train.heldout import SEEN_NOISES, UNSEEN_NOISES, load, noise, noisy  # noqa: E402

NOISES = (*UNSEEN_NOISES, *SEEN_NOISES)
PLAIN = "plain, 100 prefixes (baseline)"
MEMORY_ON = 20
"""The longest recordings, on which memory is measured."""
Spec = tuple[str, tuple[Any, ...]]
# A plain search by (prefixes, nats), a Viterbi search by (nats, simple), a lattice by (nats,
# nats of the lattice, summed).
SPECS: Mapping[str, Spec] = {
    PLAIN: ("plain", (100, 25.0)),
    "plain, 40 prefixes": ("plain", (40, 25.0)),
    "FasterDecoder, 8 nats": ("best", (8.0, False)),
    "FasterDecoder, 16 nats": ("best", (16.0, False)),
    "FasterDecoder, 25 nats": ("best", (25.0, False)),
    "SimpleDecoder, 16 nats": ("best", (16.0, True)),
    "lattice, 16 nats, summed": ("lattice", (16.0, 16.0, True)),
    "lattice, 20 nats, summed": ("lattice", (20.0, 20.0, True)),
    "lattice, 25 nats, summed": ("lattice", (25.0, 25.0, True)),
    "lattice, 25 nats, likeliest alignment": ("lattice", (25.0, 25.0, False)),
}


class Search(Protocol):
    def decode(self, scores: Scores, count: int) -> Answer: ...


def sounds(folder: Path, voices: list[str], count: int) -> Iterator[Said]:
    for voice in voices:
        for seed, (text, clean) in enumerate(load(folder, voice)[:count]):
            padded = np.pad(clean, MARGIN)
            yield Said("clean", text, padded)
            for ratio in (15, 5):
                mixed = noisy(padded, NOISES[seed % len(NOISES)], ratio, seed)
                yield Said(f"{ratio} dB", text, mixed)
    for _, clean in load(folder, "prompt")[:count]:
        yield Said("prompts", None, np.pad(clean, MARGIN))
    yield Said("nothing", None, np.zeros(3 * RATE, np.int16))
    for seed in range(count // 8):
        for kind in NOISES:
            alone = noise(kind, 3 * RATE, np.random.default_rng(100 + seed)) * 1500
            yield Said("nothing", None, alone.astype(np.int16))


@dataclass(frozen=True, slots=True)
class Written:
    """How all words are written, looked up once."""

    boundary: int
    known: dict[str, Sequence[tuple[int, ...]]]

    def classes(self, word: str) -> Sequence[tuple[int, ...]]:
        return self.known[word]


Material = tuple[Acceptor, Writing, list[str]]
"""What every decoder is made from, as the ears have it; the last is the order of words."""


def material(ear: str) -> Material:
    profile, spoken = load_profile(), load_spoken()
    graph = word_graph(profile, spoken)
    own = {**spoken.pronunciations, **profile.profile.pronunciations}
    order = sorted(sorted(graph.words, reverse=True), key=lambda w: (w in own, -len(w)))
    writing: Writing = Pronouncer(own) if ear == "own" else Speller()
    acceptor = kept_acceptor(graph)
    order = [word for word in order if word in acceptor.words]
    return acceptor, Written(writing.boundary, {w: writing.classes(w) for w in order}), order


def opened(spec: Spec, made_from: Material, kept: Path) -> Search:
    """A decoder; the graph of those that need one is read from where it was kept."""
    kind, (first, second, *rest) = spec
    if kind == "plain":
        return Decoder(*made_from, beam=first, width=second)
    import kaldi_graph
    import kaldi_search

    graph, words = kaldi_graph.load(kept), ["", *made_from[2]]
    if kind == "best":
        return kaldi_search.OneBest(graph, words, first, second)
    return kaldi_search.Lattice(graph, words, first, second, *rest)


def built(made_from: Material, kept: Path) -> str:
    """Makes the graph and keeps it; what that took, in words."""
    import kaldi_graph

    before = _resident(peak=False)
    start = time.process_time()
    graph, sizes = kaldi_graph.decoding_graph(*made_from)
    took = time.process_time() - start
    peak = _resident(peak=True) - before
    kaldi_graph.save(graph, kept)
    start = time.process_time()
    kaldi_graph.load(kept)
    read = time.process_time() - start
    stages = ", ".join(f"{name} {states:,}" for name, states in sizes.items())
    return (
        f"graph: {graph.num_states:,} states, {kaldi_graph.arcs(graph):,} arcs, "
        f"{kept.stat().st_size / 1e6:.1f} MB; made in {took:.2f} s with {peak:.0f} MB more memory, "
        f"read again in {read * 1000:.1f} ms (states on the way: {stages})"
    )


def memory(spec: Spec, made_from: Material, kept: Path, scores: list[Scores]) -> float:
    """MB that a decoder needs beyond what was there before it."""
    if spec[0] != "plain":
        import kaldi_search  # noqa: F401  (its libraries are no memory of decoding)
    before = _resident(peak=False)
    search = opened(spec, made_from, kept)
    for each in scores:
        search.decode(each, ALTERNATIVES)
    return _resident(peak=True) - before


def _resident(*, peak: bool) -> float:
    """MB of this process now, or the most since the last question for now. Linux alone tells."""
    status = Path("/proc/self/status").read_text("utf-8")
    if not peak:
        Path("/proc/self/clear_refs").write_text("5", "utf-8")
    key = "VmHWM:" if peak else "VmRSS:"
    return int(status.partition(key)[2].split()[0]) / 1000


def main() -> None:
    arguments = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    arguments.add_argument("folder", type=Path)
    arguments.add_argument("--ear", choices=("own", "letters"), default="own")
    arguments.add_argument("--voices", nargs="+", default=["joe", "human"])
    arguments.add_argument("--count", type=int, default=80, help="recordings of a voice")
    given = arguments.parse_args()
    missing = [n for n in ("kaldifst", "kaldi_decoder") if not importlib.util.find_spec(n)]
    if missing:
        sys.exit(
            f"Not installed: {', '.join(missing)}. Both are for this benchmark alone: "
            "pip install kaldifst kaldi-decoder"
        )
    with tempfile.TemporaryDirectory() as folder:
        measure(given, Path(folder) / "graph.fst")


def measure(given: argparse.Namespace, kept: Path) -> None:
    made_from = material(given.ear)
    with get_context("spawn").Pool(1, maxtasksperchild=1) as pool:
        print(pool.apply(built, (made_from, kept)), flush=True)
    searches = {name: opened(spec, made_from, kept) for name, spec in SPECS.items()}
    parser = Parser(load_profile(), load_spoken())
    kind = OwnEar if given.ear == "own" else LettersEar
    model = AcousticModel(shipped("models") / kind.file, kind.sha256, kind.name)
    tallies = {name: Tally(spec[0] != "best") for name, spec in SPECS.items()}
    counts: Counter[str] = Counter()
    lengths: Counter[str] = Counter()  # seconds
    model_time = 0.0
    longest: list[Scores] = []
    for spoken in sounds(given.folder, given.voices, given.count):
        start = time.process_time()
        scores = model.scores(spoken.samples.astype(np.float32) / 32768)
        model_time += time.process_time() - start
        seconds = spoken.samples.size / RATE
        counts[spoken.group] += 1
        lengths[spoken.group] += seconds
        longest = sorted([*longest, scores], key=len)[-MEMORY_ON:]
        plain = None
        for name, search in searches.items():
            start = time.process_time()
            answer = search.decode(scores, ALTERNATIVES)
            took = time.process_time() - start
            plain = plain or answer
            tallies[name].took(spoken.group, took, seconds)
            tallies[name].add(parser, spoken, free_score(scores), answer, plain)
    print(f"acceptor: {len(made_from[0].steps):,} states, {len(made_from[0].arcs):,} arcs")
    total = lengths.total()
    print(f"{counts.total()} sounds, {total:.0f} s; the model {model_time / total:.4f} x real time")
    with get_context("spawn").Pool(1, maxtasksperchild=1) as pool:
        used = {n: pool.apply(memory, (s, made_from, kept, longest)) for n, s in SPECS.items()}
    report(tallies, PLAIN, counts, lengths, used)


if __name__ == "__main__":
    main()
