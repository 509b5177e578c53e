"""How what was heard compares with what was said: counts, and every value that is not right."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from assistant.record.session import Reading
from assistant.report.printable import printable
from assistant.truth import Compared, Outcome


def show_tally(compared: Sequence[Compared]) -> None:
    """Prints counts by outcome, then what was asked, missed or is wrong, one a line."""
    counts = Counter(one.outcome for one in compared)
    said = sum(counts.values()) - counts[Outcome.INVENTED]
    print(f"\nOf {said} values said: " + ", ".join(f"{counts[o]} {o}" for o in Outcome))
    for one in compared:
        if one.outcome is not Outcome.RIGHT:
            words = f"said “{one.words}”" if one.words else "nobody said it"
            print(f"  {one.outcome}: {words}, {_got(one.got)}")


def _got(got: Reading | None) -> str:
    if got is None:
        return "nothing was heard"
    doubts = f" ({', '.join(got.doubts)})" if got.doubts else ""
    label = " ".join(word for word in (got.quantity, got.position) if word)
    ears = "; ".join(f"{ear} “{words}”" for ear, words in got.ears.items())
    heard = f": {ears}" if ears else ""
    return printable(f"taken as {label} {got.value or got.state}{doubts}{heard}")
