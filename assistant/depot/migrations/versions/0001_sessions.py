"""The index as it was first: sessions, readings, parts and the words that a search finds."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

KEY = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")


def upgrade() -> None:
    """Make all tables and their indexes."""
    op.create_table(
        "parts",
        sa.Column("session", KEY, nullable=False),
        sa.Column("entry", KEY, nullable=False),
        sa.Column("unit", KEY, nullable=False),
        sa.Column("opened", KEY, nullable=False),
        sa.Column("day", sa.Integer(), nullable=False),
        sa.Column("part", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("session", "entry"),
    )
    op.create_index("parts_day", "parts", ["day"], unique=False)
    op.create_index("parts_unit", "parts", ["unit", "opened"], unique=False)
    op.create_table(
        "readings",
        sa.Column("session", KEY, nullable=False),
        sa.Column("entry", KEY, nullable=False),
        sa.Column("unit", KEY, nullable=False),
        sa.Column("opened", KEY, nullable=False),
        sa.Column("technician", KEY, nullable=False),
        sa.Column("profile", KEY, nullable=False),
        sa.Column("quantity", KEY, nullable=False),
        sa.Column("position", KEY, nullable=False),
        sa.Column("context", sa.Text(), nullable=False),
        sa.Column("at", KEY, nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("number", sa.Float(), nullable=False),
        sa.Column("over_wire", sa.Boolean(), nullable=False),
        sa.Column("verdict", KEY, nullable=False),
        sa.PrimaryKeyConstraint("session", "entry"),
    )
    op.create_index(
        "readings_label", "readings", ["unit", "quantity", "position", "opened"], unique=False
    )
    op.create_table(
        "said",
        sa.Column("word", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("opened", KEY, nullable=False),
        sa.Column("session", KEY, nullable=False),
        sa.PrimaryKeyConstraint("word", "opened", "session"),
    )
    op.create_index("said_session", "said", ["session"], unique=False)
    op.create_table(
        "sessions",
        sa.Column("id", KEY, nullable=False),
        sa.Column("unit", KEY, nullable=False),
        sa.Column("technician", KEY, nullable=False),
        sa.Column("profile", KEY, nullable=False),
        sa.Column("opened", KEY, nullable=False),
        sa.Column("day", sa.Integer(), nullable=False),
        sa.Column("closed", KEY, nullable=True),
        sa.Column("head", KEY, nullable=False),
        sa.Column("signed_by", KEY, nullable=False),
        sa.Column("signed_at", KEY, nullable=False),
        sa.Column("signed_current", sa.Boolean(), nullable=False),
        sa.Column("readings", sa.Integer(), nullable=False),
        sa.Column("questions", sa.Integer(), nullable=False),
        sa.Column("out", sa.Integer(), nullable=False),
        sa.Column("unproven", sa.Integer(), nullable=False),
        sa.Column("conflicts", sa.Integer(), nullable=False),
        sa.Column("cause", KEY, nullable=False),
        sa.Column("cause_title", sa.Text(), nullable=False),
        sa.Column("chance", sa.Float(), nullable=False),
        sa.Column("complaint", sa.Text(), nullable=False),
        sa.Column("parts", sa.Text(), nullable=False),
        sa.Column("minutes", sa.Float(), nullable=True),
        sa.Column("lasted", sa.Float(), nullable=True),
        sa.Column("outcome", KEY, nullable=False),
        sa.Column("chain", KEY, nullable=False),
        sa.Column("trouble", sa.Text(), nullable=False),
        sa.Column("attention", sa.Integer(), nullable=False),
        sa.Column("stamp", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("sessions_attention", "sessions", ["attention", "opened", "id"], unique=False)
    op.create_index("sessions_cause", "sessions", ["cause", "opened", "id"], unique=False)
    op.create_index(
        "sessions_figures",
        "sessions",
        ["day", "chain", "outcome", "unit", "opened", "cause", "minutes", "lasted", "attention"],
        unique=False,
    )
    op.create_index("sessions_opened", "sessions", ["opened", "id"], unique=False)
    op.create_index("sessions_outcome", "sessions", ["outcome", "opened", "id"], unique=False)
    op.create_index("sessions_signed", "sessions", ["signed_current", "opened", "id"], unique=False)
    op.create_index("sessions_technician", "sessions", ["technician", "opened", "id"], unique=False)
    op.create_index("sessions_unit", "sessions", ["unit", "opened", "id"], unique=False)
    op.create_table(
        "words",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("word", KEY, nullable=False),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("word"),
    )
    # ### end Alembic commands ###
