"""What a word without a meaning may have been meant for: told, and never taken."""

from __future__ import annotations

import pytest

from assistant.wording.parser import Parser
from assistant.wording.statement import NotUnderstood

TOLD = {
    "hours one two": "“hours” has no meaning here (running hours?), nothing",
    "current one point four amps": "(charging current, wheel current, blade current?)",
    "undoked": "“undoked” has no meaning here (undocked?), nothing of this was taken: say it again",
    "guide fornt one oh two": "(front?), nothing of this was taken",
    "close": "(close job?)",
    "wheel": "(wheel current, left wheel, right wheel?)",  # three at the most
    "weather wet": "nothing of this was taken: say one of these after “weather”: dry, rain",
    "start round brakes": "nothing of this was taken: say the name of a round after it: intake",
    "start round": "say the name of a round after it: intake, station, loop, sensors",
    "hello": "“hello” has no meaning here, nothing of this was taken: say it again",
    "disregard the last one": "“last” has no meaning here, nothing of this was taken: say it again",
}


@pytest.mark.parametrize(("line", "told"), TOLD.items())
def test_what_was_not_understood_is_told_with_what_would_be(
    parser: Parser, line: str, told: str
) -> None:
    [said] = parser.parse_text(line)
    assert isinstance(said, NotUnderstood)
    assert told in said.reason
