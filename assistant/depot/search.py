"""Search by words: an index of its own, the same on every database.

A word of a query finds the words that begin so. Of the terms of a query the rarest leads, and its
sessions are read newest first until the page is full, so a search costs what it shows. What it
costs most is a pair of terms that are both common and hardly ever together.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence

from sqlalchemy import (
    Connection,
    Select,
    and_,
    exists,
    func,
    literal_column,
    select,
    tuple_,
    union,
)
from sqlalchemy.sql.elements import ColumnElement

from assistant.depot.tables import said, words

MOST_TERMS = 6
MOST_WORDS = 24
"""Words that one term may stand for; a term that begins more stands for the first of them."""
_COUNTED = 2000
_LONGEST = 40
_WORD = re.compile(r"[^\W_]+")


def words_of(*texts: str) -> frozenset[str]:
    """The words of a text as they are compared: small letters, without accents.

    >>> sorted(words_of("Hums at the GATE, joint n° 3; Gerät"))
    ['3', 'at', 'gate', 'gerat', 'hums', 'joint', 'n', 'the']
    """
    return frozenset(_fold(" ".join(texts)))


def _fold(text: str) -> list[str]:
    plain = unicodedata.normalize("NFKD", text.casefold())
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    return [word[:_LONGEST] for word in _WORD.findall(plain)]


def terms(query: str) -> tuple[str, ...]:
    """The terms of a query, each once; those after the sixth are left out."""
    return tuple(dict.fromkeys(_fold(query)))[:MOST_TERMS]


def meant(connection: Connection, query: str) -> list[list[int]]:
    """For each term the ids of the words it stands for, the rarest term first; a term that
    nothing holds gives an empty list."""
    groups = [_beginning(connection, term) for term in terms(query)]
    return sorted(groups, key=lambda ids: _count(connection, ids))


def matching(
    groups: Sequence[Sequence[int]],
    before: tuple[str, str] | None,
    conditions: Iterable[ColumnElement[bool]],
    limit: int,
) -> Select[tuple[str]]:
    """The ids of the newest ``limit`` sessions that hold a word of every group; ``before`` is the
    (opened, id) that they come before. ``conditions`` are on the table of sessions."""
    from assistant.depot.tables import sessions

    wheres = list(conditions)
    parts = []
    for word in groups[0]:
        query = select(said.c.opened, said.c.session).where(said.c.word == word)
        if wheres:
            query = query.join(sessions, sessions.c.id == said.c.session).where(*wheres)
        if before is not None:
            query = query.where(tuple_(said.c.opened, said.c.session) < before)
        for number, others in enumerate(groups[1:]):
            also = said.alias(f"also_{number}")
            query = query.where(
                exists().where(
                    and_(
                        also.c.word.in_(others),
                        also.c.opened == said.c.opened,
                        also.c.session == said.c.session,
                    )
                )
            )
        newest = query.order_by(said.c.opened.desc(), said.c.session.desc()).limit(limit)
        parts.append(select(newest.subquery()))
    found = union(*parts).subquery()
    return (
        select(found.c.session).order_by(found.c.opened.desc(), found.c.session.desc()).limit(limit)
    )


def _beginning(connection: Connection, term: str) -> list[int]:
    past = term + "\U0010ffff"
    query = (
        select(words.c.id)
        .where(words.c.word >= term, words.c.word < past)
        .order_by(words.c.word)
        .limit(MOST_WORDS)
    )
    return list(connection.scalars(query))


def _count(connection: Connection, ids: Sequence[int]) -> int:
    """How many sessions hold one of these words; counted no further than needed to compare."""
    if not ids:
        return 0
    some = select(literal_column("1")).where(said.c.word.in_(ids)).limit(_COUNTED).subquery()
    return connection.scalar(select(func.count()).select_from(some)) or 0
