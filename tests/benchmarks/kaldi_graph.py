"""The grammar and the pronunciations of the plain search as one graph for kaldi-decoder.

For decoders.py alone. The graph is the usual composition H ∘ L ∘ G: CTC's topology, the lexicon's
tree and the acceptor. It has no weights, so a path costs what the model's scores say, exactly as
in the plain search. Labels are classes + 1, as DecodableCtc wants them, and numbers of words.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import kaldifst

from assistant.hearing.acceptor import Acceptor
from assistant.hearing.ctc import BLANK, Writing

Sounds = dict[tuple[int, ...], int]


def decoding_graph(
    acceptor: Acceptor, writing: Writing, words: Sequence[str]
) -> tuple[kaldifst.StdConstFst, dict[str, int]]:
    """The graph, its words numbered from 1 as in ``words``, and its states on the way there."""
    classes = {word: writing.classes(word) for word in words}
    sounds: Sounds = {}
    for said in (said for word in words for said in classes[word]):
        sounds.setdefault(said, len(sounds) + 1)
    grammar = _grammar(acceptor, words, classes, sounds)
    tree = _tree(sounds)
    spoken = kaldifst.compose(tree, grammar)
    sizes = {"lexicon": tree.num_states, "grammar": grammar.num_states, "both": spoken.num_states}
    # A tree hung on every state is deterministic but for words that sound alike, so only merging
    # like ends is left to do.
    kaldifst.minimize_encoded(spoken)
    sizes["minimised"] = spoken.num_states
    kaldifst.arcsort(spoken, "ilabel")
    graph = kaldifst.StdConstFst(kaldifst.compose(_topology(writing.boundary + 1), spoken))
    return graph, sizes


def arcs(graph: kaldifst.StdConstFst) -> int:
    return sum(graph.num_arcs(state) for state in range(graph.num_states))


def _grammar(
    acceptor: Acceptor,
    words: Sequence[str],
    classes: Mapping[str, Sequence[tuple[int, ...]]],
    sounds: Sounds,
) -> kaldifst.StdVectorFst:
    """From sounds of words to words; of those that sound alike and lead to one place, the first."""
    made = _with_states(len(acceptor.steps) + 1)
    for state in acceptor.finals:
        made.set_final(state, 0.0)
    # A start of its own, where nothing said is allowed.
    made.start = len(acceptor.steps)
    made.set_final(made.start, 0.0)
    for state, step in enumerate((*acceptor.steps, acceptor.steps[0])):
        taken: set[tuple[int, int]] = set()
        for label, word in enumerate(words, 1):
            for said in classes[word] if word in step else ():
                way = sounds[said], step[word]
                if way not in taken:
                    taken.add(way)
                    made.add_arc(state, kaldifst.StdArc(way[0], label, 0.0, way[1]))
    kaldifst.arcsort(made, "ilabel")
    return made


def _tree(sounds: Sounds) -> kaldifst.StdVectorFst:
    """From classes to sounds of words, said one after the other."""
    made = _with_states(1)
    made.start = 0
    made.set_final(0, 0.0)
    places: dict[tuple[int, ...], int] = {(): 0}
    for said, label in sounds.items():
        for length, phone in enumerate(said[:-1], 1):
            if said[:length] not in places:
                places[said[:length]] = made.add_state()
                arc = kaldifst.StdArc(phone, 0, 0.0, places[said[:length]])
                made.add_arc(places[said[: length - 1]], arc)
        made.add_arc(places[said[:-1]], kaldifst.StdArc(said[-1], label, 0.0, 0))
    kaldifst.arcsort(made, "olabel")
    return made


def _topology(count: int) -> kaldifst.StdVectorFst:
    """From rows of classes to classes: state 0 after a blank, state c after class c."""
    made = _with_states(count)
    made.start = BLANK
    for last in range(count):
        made.set_final(last, 0.0)
        made.add_arc(last, kaldifst.StdArc(BLANK + 1, 0, 0.0, BLANK))
        for new in range(1, count):
            label = 0 if new == last else new
            made.add_arc(last, kaldifst.StdArc(new + 1, label, 0.0, new))
    kaldifst.arcsort(made, "olabel")
    return made


def _with_states(count: int) -> kaldifst.StdVectorFst:
    made = kaldifst.StdVectorFst()
    for _ in range(count):
        made.add_state()
    return made


def save(graph: kaldifst.StdConstFst, path: Path) -> None:
    if not graph.write(str(path)):
        raise OSError(f"{path} could not be written.")


def load(path: Path) -> kaldifst.StdConstFst:
    return kaldifst.StdConstFst.read(str(path))
