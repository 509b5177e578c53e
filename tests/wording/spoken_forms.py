"""Says every number in every form, for the tests: written apart from the parser, from its own
tables, so that the two can disagree."""

from __future__ import annotations

from collections.abc import Iterator

DIGITS = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
RADIO = ["zero", "wun", "too", "tree", "fower", "fife", "six", "seven", "ait", "niner"]
"""CAP 413 chapter 2, table 2."""
TEENS = "ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen"
TENS = [".", ".", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]

UNDER_100 = [
    *DIGITS,
    *TEENS.split(),
    *(TENS[n // 10] + (f" {DIGITS[n % 10]}" if n % 10 else "") for n in range(20, 100)),
]


def counted(n: int, joiner: str = "and ") -> str:
    """0 … 9999 counted out: British with "and", American with ``joiner`` empty."""
    if n < 100:
        return UNDER_100[n]
    if n < 1000:
        rest = f" {joiner}{UNDER_100[n % 100]}" if n % 100 else ""
        return f"{DIGITS[n // 100]} hundred{rest}"
    head, rest = f"{DIGITS[n // 1000]} thousand", n % 1000
    if not rest:
        return head
    return f"{head} {joiner if rest < 100 else ''}{counted(rest, joiner)}"


def figures(n: int | str, names: list[str] = DIGITS, nought: str = "zero") -> str:
    return " ".join(nought if d == "0" else names[int(d)] for d in str(n))


def repeats(digits: str) -> str:
    """The first run of equal figures as "double" or "triple"; "" where there is none."""
    for times, word in ((3, "triple"), (2, "double")):
        for start in range(len(digits) - times + 1):
            if len(set(digits[start : start + times])) == 1:
                said = [figures(digits[:start]), f"{word} {figures(digits[start])}"]
                said.append(figures(digits[start + times :]))
                return " ".join(part for part in said if part)
    return ""


def whole_forms(n: int) -> Iterator[str]:
    """Every way to say 0 … 9999."""
    yield counted(n)
    yield counted(n, joiner="")
    yield figures(n)
    if n:
        yield figures(n, nought="oh")
    yield figures(n, names=RADIO)
    if doubled := repeats(str(n)):
        yield doubled
    if 100 <= n < 200 or 1000 <= n < 2000:
        yield "a" + counted(n).removeprefix("one")
    if 110 <= n < 1000 and n % 100 >= 10:
        yield f"{DIGITS[n // 100]} {UNDER_100[n % 100]}"
    if n >= 1000:
        hundreds, rest = UNDER_100[n // 100], UNDER_100[n % 100]
        yield f"{hundreds} hundred" + (f" and {rest}" if n % 100 else "")
        yield f"{hundreds} hundred" + (f" {rest}" if n % 100 else "")


def decimal_forms(whole: int, decimals: str) -> Iterator[str]:
    """Every way to say ``whole`` (0 … 99) and one or two ``decimals``."""
    yield f"{counted(whole)} point {figures(decimals)}"
    yield f"{figures(whole)} point {figures(decimals)}"
    yield f"{figures(whole, names=RADIO)} decimal {figures(decimals, names=RADIO)}"
    yield f"{counted(whole)} point {figures(decimals, nought='oh')}"
    if len(decimals) == 2 and decimals[0] != "0":
        yield f"{counted(whole)} point {UNDER_100[int(decimals)]}"
    if decimals in ("11", "22", "33", "44", "55", "66", "77", "88", "99", "00"):
        yield f"{counted(whole)} point double {figures(decimals[0])}"
    if whole == 0:
        yield f"point {figures(decimals)}"
        yield f"oh point {figures(decimals)}"
    if whole and decimals in ("5", "25", "75"):
        said = {"5": "a half", "25": "a quarter", "75": "three quarters"}[decimals]
        yield f"{counted(whole)} and {said}"
        yield f"{figures(whole)} and {said}"
