"""The tables of the index. All in them is made from the journals and may be thrown away."""

from __future__ import annotations

from sqlalchemy import Boolean, Column, Float, Index, Integer, MetaData, Table, Text

# Compared by code point on every database, so that ranges and cursors mean the same.
Key = Text().with_variant(Text(collation="C"), "postgresql")

metadata = MetaData()

sessions = Table(
    "sessions",
    metadata,
    Column("id", Key, primary_key=True),
    Column("unit", Key, nullable=False),
    Column("technician", Key, nullable=False),
    Column("profile", Key, nullable=False),
    Column("opened", Key, nullable=False),
    Column("day", Integer, nullable=False),
    Column("closed", Key),
    Column("head", Key, nullable=False),
    Column("signed_by", Key, nullable=False),
    Column("signed_at", Key, nullable=False),
    Column("signed_current", Boolean, nullable=False),
    Column("readings", Integer, nullable=False),
    Column("questions", Integer, nullable=False),
    Column("out", Integer, nullable=False),
    Column("unproven", Integer, nullable=False),
    Column("conflicts", Integer, nullable=False),
    Column("cause", Key, nullable=False),
    Column("cause_title", Text, nullable=False),
    Column("chance", Float, nullable=False),
    Column("complaint", Text, nullable=False),
    Column("parts", Text, nullable=False),
    Column("minutes", Float),
    Column("lasted", Float),
    Column("outcome", Key, nullable=False),
    Column("chain", Key, nullable=False),
    Column("trouble", Text, nullable=False),
    Column("attention", Integer, nullable=False),
    Column("stamp", Text, nullable=False),
    Index("sessions_opened", "opened", "id"),
    Index("sessions_attention", "attention", "opened", "id"),
    Index("sessions_unit", "unit", "opened", "id"),
    Index("sessions_technician", "technician", "opened", "id"),
    Index("sessions_cause", "cause", "opened", "id"),
    Index("sessions_outcome", "outcome", "opened", "id"),
    Index("sessions_signed", "signed_current", "opened", "id"),
    Index(
        "sessions_figures",
        "day",
        "chain",
        "outcome",
        "unit",
        "opened",
        "cause",
        "minutes",
        "lasted",
        "attention",
    ),
)
"""``day`` counts days (date.toordinal), ``parts`` one a line; ``stamp`` tells whether the files
have changed since the row was made. The last index holds all that the figures are made of."""

readings = Table(
    "readings",
    metadata,
    Column("session", Key, primary_key=True),
    Column("entry", Key, primary_key=True),
    Column("unit", Key, nullable=False),
    Column("opened", Key, nullable=False),
    Column("technician", Key, nullable=False),
    Column("profile", Key, nullable=False),
    Column("quantity", Key, nullable=False),
    Column("position", Key, nullable=False),
    Column("context", Text, nullable=False),
    Column("at", Key, nullable=False),
    Column("value", Text, nullable=False),
    Column("number", Float, nullable=False),
    Column("over_wire", Boolean, nullable=False),
    Column("verdict", Key, nullable=False),
    Index("readings_label", "unit", "quantity", "position", "opened"),
)
"""Judged readings with a number. ``context`` is canonical JSON, ``value`` the number as said."""

parts = Table(
    "parts",
    metadata,
    Column("session", Key, primary_key=True),
    Column("entry", Key, primary_key=True),
    Column("unit", Key, nullable=False),
    Column("opened", Key, nullable=False),
    Column("day", Integer, nullable=False),
    Column("part", Text, nullable=False),
    Index("parts_unit", "unit", "opened"),
    Index("parts_day", "day"),
)

words = Table(
    "words",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("word", Key, nullable=False, unique=True),
)

said = Table(
    "said",
    metadata,
    Column("word", Integer, primary_key=True, autoincrement=False),
    Column("opened", Key, primary_key=True),
    Column("session", Key, primary_key=True),
    Index("said_session", "session"),
)
"""Which words a session holds. The key is in the order of the list, so that a search reads only
the lines it shows."""
