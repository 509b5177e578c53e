"""Progress on the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from assistant.diagnosis.reasons import number_words
from assistant.practice.log import Practised
from assistant.practice.marks import SKILLS
from assistant.practice.progress import repeated, weeks
from assistant.practice.schedule import cards

_BAR = 25
_MOST_REPEATED = 5


def progress_lines(log: Sequence[Practised], now: datetime) -> Iterator[str]:
    """Weeks, skills with the day on which they are due, and repeated readings."""
    if not log:
        yield "Nothing was practised yet. Begin: benchcall practise first_minute"
        return
    yield "Week of      mean marks of 100"
    for week in weeks(log):
        full = round(_BAR * week.marks / 100)
        bar = "█" * full + "░" * (_BAR - full)
        done = "1 exercise" if week.count == 1 else f"{week.count} exercises"
        told = f"{done}, {week.passed} passed{_over(week.over)}"
        yield f"{week.begins:%Y-%m-%d}  {bar} {week.marks:5.1f}  {told}"
    yield ""
    yield "What comes back, and when"
    for skill, card in sorted(cards(log).items(), key=lambda item: item[1].due):
        days = (card.due - now).total_seconds() / 86400
        when = "now" if days <= 0 else "today" if days < 1 else f"in {days:.0f} days"
        yield f"  {when:12} {SKILLS.get(skill, skill)}"
    again = [row for row in repeated(log) if row.gauge.together > 0][:_MOST_REPEATED]
    yield ""
    if not again:
        yield "No value that you read more than once has differed from the reference."
        return
    yield "The same thing read again (gauge study, you against the reference; standard deviations)"
    for row in again:
        bias = ("+" if row.bias > 0 else "−") + number_words(abs(row.bias)) if row.bias else "0"
        yield (
            f"  {row.exercise}: {row.label}, {row.times} times: "
            f"repeat {number_words(row.gauge.repeatability)}, "
            f"between you and the reference {number_words(row.gauge.between_technicians)}, "
            f"bias {bias}"
        )


def _over(share: float | None) -> str:
    """How the minutes stand beside the best order's."""
    if share is None:
        return ""
    percent = round(100 * abs(share))
    return f", {percent} % {'more' if share >= 0 else 'fewer'} minutes than the best order"
