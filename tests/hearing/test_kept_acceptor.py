"""What is kept is what would be made; what is damaged is made again."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.hearing import kept_acceptor as module
from assistant.hearing.acceptor import acceptor
from assistant.hearing.kept_acceptor import MOST_KEPT, kept_acceptor
from assistant.profile.word_graph import WordGraph

GRAPH = WordGraph(((0, "front", 1), (0, "rear", 1), (1, "one", 2)), 0, frozenset({2}))


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("BENCHCALL_HOME", str(tmp_path))
    module._kept.cache_clear()
    return tmp_path / "grammars"


def _forget() -> None:
    module._kept.cache_clear()


def _never(*_: object) -> None:
    raise AssertionError("it was made again")


def test_it_is_made_once_and_then_found(monkeypatch: pytest.MonkeyPatch) -> None:
    made = kept_acceptor(GRAPH)
    assert made == acceptor(GRAPH)
    _forget()
    monkeypatch.setattr(module, "acceptor", _never)
    assert kept_acceptor(GRAPH) == made


def test_another_graph_or_other_missing_words_find_another() -> None:
    kept_acceptor(GRAPH)
    assert kept_acceptor(GRAPH, {"rear"}).words == {"front", "one"}
    longer = WordGraph((*GRAPH.arcs, (2, "two", 3)), 0, frozenset({3}))
    assert kept_acceptor(longer).accepts(["front", "one", "two"])


@pytest.mark.parametrize("damage", ["", "{", "[]", "[[], []]x", '[[{"front": 9}], [0]]'])
def test_a_damaged_one_is_made_again(folder: Path, damage: str) -> None:
    kept_acceptor(GRAPH)
    _forget()
    [file] = folder.iterdir()
    file.write_text(damage)
    assert kept_acceptor(GRAPH) == acceptor(GRAPH)
    _forget()
    assert kept_acceptor(GRAPH).accepts(["rear", "one"])


def test_a_folder_that_cannot_be_written_costs_time_only(folder: Path) -> None:
    folder.write_text("a file stands in its way")
    assert kept_acceptor(GRAPH) == acceptor(GRAPH)


def test_only_the_newest_are_kept(folder: Path) -> None:
    for count in range(MOST_KEPT + 3):
        kept_acceptor(WordGraph(GRAPH.arcs, 0, frozenset({count})))
    assert len(list(folder.iterdir())) == MOST_KEPT
