"""Numbers with a word that is easily taken for another: thirteen and thirty."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from assistant.hearing.heard import HeardWord
from assistant.wording.statement import ReadingSaid, Statement


def would_make_another(
    words: Sequence[HeardWord],
    parse: Callable[[Sequence[HeardWord]], tuple[Statement, ...]],
    alike: Mapping[str, str],
) -> bool:
    """Whether one word taken for its like would be read as a number too. "Sixty five" is safe,
    since nobody says "sixteen five"; "sixty" is not."""
    for place, word in enumerate(words):
        other = alike.get(word.text)
        if other is not None:
            swapped = [*words[:place], replace(word, text=other), *words[place + 1 :]]
            if all(isinstance(said, ReadingSaid) for said in parse(swapped)):
                return True
    return False
