"""Statements in short, so that a test shows an utterance and its meaning side by side.

guide_signal@front 102 V station=docked      a reading, its said unit, its contexts
guide_signal@front 102 ?station              the context is unclear
station=docked                               a context, "station=" where it ends
blades: worn                                 an observation
!next_check · !job 47                        a command and what it takes
note: seal looks tired                       a note
??                                           not understood
correction …                                 before any of them: it corrects
"""

from __future__ import annotations

from assistant.wording.parser import Parser
from assistant.wording.statement import (
    CommandSaid,
    ContextSaid,
    NoteSaid,
    NotUnderstood,
    ObservationSaid,
    ReadingSaid,
    Statement,
)


def meaning(parser: Parser, line: str) -> list[str]:
    return [short(statement) for statement in parser.parse_text(line)]


def short(statement: Statement) -> str:
    match statement:
        case ReadingSaid():
            return _corrected(statement.corrects, _reading(statement))
        case ContextSaid():
            return _corrected(statement.corrects, f"{statement.key}={statement.value or ''}")
        case ObservationSaid():
            return _corrected(statement.corrects, f"{statement.item}: {statement.value}")
        case CommandSaid():
            return f"!{statement.command} {statement.argument}".strip()
        case NoteSaid():
            return f"note: {statement.text}"
        case NotUnderstood():
            return "??"


def _corrected(corrects: bool, said: str) -> str:
    return f"correction {said}" if corrects else said


def _reading(reading: ReadingSaid) -> str:
    label = reading.quantity or "bare"
    if reading.position:
        label = f"{label}@{reading.position}"
    parts = [label, reading.value.number or reading.value.state, reading.unit or ""]
    parts += [f"{key}={value}" for key, value in reading.context]
    parts += [f"?{key}" for key in reading.unclear]
    return " ".join(part for part in parts if part)
