"""A value said before its label ("one oh two on the front guide") is put behind it.

Only "on" after the value joins the two, and only where neither could belong to anything else: no
label waits for this value, and no other value follows that the label could be waiting for.
"""

from __future__ import annotations

from collections.abc import Sequence

from assistant.wording.labels import Found
from assistant.wording.lexicon import Lexicon
from assistant.wording.tokens import Token


def label_first(tokens: Sequence[Token], lexicon: Lexicon) -> list[Token]:
    """The same tokens, each label before its value; the "on" between them is left out."""
    if lexicon.value_first.isdisjoint(token.text for token in tokens):
        return list(tokens)
    texts = [lexicon.meant(token.text) for token in tokens]
    ordered: list[Token] = []
    waiting, index = False, 0
    while index < len(tokens):
        end = _value_end(texts, index, lexicon)
        label, after = _label_behind(texts, end, lexicon) if end > index else (index, index)
        if after > label and not waiting:
            ordered += [*tokens[label:after], *tokens[index:end]]
            index = after
            continue
        found = lexicon.phrases.at(texts, index)
        if end > index:
            waiting = False
        elif found and _takes_words(found, lexicon):
            end = len(tokens)
        else:
            end = index + (found.length if found else 1)
            waiting = waiting or bool(found and _is_label(found, lexicon))
        ordered += tokens[index:end]
        index = end
    return ordered


def _value_end(texts: Sequence[str], index: int, lexicon: Lexicon) -> int:
    """Where a number with its unit, or "no reading", ends; ``index`` where none begins."""
    state = lexicon.phrases.at(texts, index) if index < len(texts) else None
    if state and state.of("state"):
        return index + state.length
    end = lexicon.numbers.run(texts, index) if index < len(texts) else index
    unit = lexicon.phrases.at(texts, end) if index < end < len(texts) else None
    return end + unit.length if unit and unit.of("unit") else end


def _label_behind(texts: Sequence[str], end: int, lexicon: Lexicon) -> tuple[int, int]:
    """Where the label after "on" begins and ends; nothing long where there is none, or where the
    next value could be its own."""
    if end >= len(texts) or texts[end] not in lexicon.value_first:
        return end, end
    first = index = lexicon.past_fillers(texts, end)
    while index < len(texts):
        found = lexicon.phrase_at(texts, index)
        if found is None or not _is_label(found, lexicon):
            break
        index += found.length
    after = lexicon.past_fillers(texts, index)
    next_end = _value_end(texts, after, lexicon)
    own = next_end > after and (
        next_end >= len(texts) or texts[next_end] not in lexicon.value_first
    )
    return (first, first) if own else (first, index)


def _is_label(found: Found, lexicon: Lexicon) -> bool:
    """Names of wires are among them ("on the guide wire, front")."""
    wire = found.of("context")
    return bool(found.of("quantity", "position") or (wire and wire.id in lexicon.deciding))


def _takes_words(found: Found, lexicon: Lexicon) -> bool:
    """Whether what follows is a note's words, or an identifier's figures."""
    command, seen = found.of("command"), found.of("observation")
    takes = lexicon.commands[command.id].takes if command else ""
    kind = lexicon.observations[seen.id].kind if seen else "choice"
    return takes in ("text", "identifier") or kind != "choice"
