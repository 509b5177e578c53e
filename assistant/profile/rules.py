"""What a profile knows about judging: limits, signs, causes and checks."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from assistant.profile.values import Chance, Id, Table, Unit, Where


class Tolerance(Table):
    """Limits of one quantity in one context; both limits are inclusive (the limit is fine)."""

    id: Id
    quantity: Id
    position: Id | None = None
    when: Where = Field(default_factory=dict)
    low: float | None = None
    high: float | None = None
    verdict: Literal["out", "suspect"] = "out"
    reason: str
    """Why a value beyond the limit matters; the finding adds the value and the limit."""
    otherwise: str = ""
    """Why the rule does not apply in another context (printed with not_applicable)."""
    source: str


class Pair(Table):
    """Two positions of one quantity that should agree to within ``max_difference`` (inclusive)."""

    id: Id
    quantity: Id
    positions: tuple[Id, Id]
    when: Where = Field(default_factory=dict)
    max_difference: float = Field(ge=0)
    verdict: Literal["out", "suspect"] = "suspect"
    reason: str
    otherwise: str
    source: str


class Computed(Table):
    """A rule on a number worked out from several readings. ``calculation`` names the working,
    ``takes`` gives its roles the quantities (or observations) of this profile:

    - ``loop_resistance``: measured over expected resistance of a wire (unit 1); resistance,
      length, area, temperature, lead_zero, material
    - ``contact_resistance``: (open − loaded) volts over current (Ohm); voltage, current
    - ``wire_field``: sideways distance from sensor to buried wire (mm); signal, shift
    - ``difference``: first − second; first, second

    Both limits are inclusive, on the result in ``unit``."""

    id: Id
    title: str
    calculation: Literal["loop_resistance", "contact_resistance", "wire_field", "difference"]
    takes: dict[Id, Id]
    when: Where = Field(default_factory=dict)
    unit: Unit
    low: float | None = None
    high: float | None = None
    verdict: Literal["out", "suspect"] = "suspect"
    reason: str
    source: str


class Sign(Table):
    """A yes-or-no sign that causes explain, read off the session by one rule's verdict or one
    observation's choice. ``rule`` names a tolerance, a pair, a computed rule or an observation;
    the sign is present when its verdict is among ``present``, absent when it is "ok", unknown
    otherwise. With ``lower``, for a pair, it is present only where that position reads the less
    of the two, and absent where the other does.

    ``leak`` is the chance of the sign with no listed cause; ``misread`` the chance that the sign
    is wrong because the reading was (wrong context, misheard digit)."""

    id: Id
    title: str
    rule: Id
    present: tuple[Literal["out", "suspect"], ...] = ("out", "suspect")
    lower: Id | None = None
    leak: float = Field(gt=0, lt=1)
    misread: float = Field(default=0.003, ge=0, lt=0.5)
    source: str


class Form(Table):
    """One way in which a cause comes: in this wire or that, marked or beginning. ``share`` is
    this form's part of the cause; ``shows`` goes before the cause's own."""

    title: str
    share: float = Field(gt=0, le=1)
    shows: dict[Id, Chance] = Field(default_factory=dict)


class Cause(Table):
    id: Id
    title: str
    prior: float = Field(gt=0, lt=1)
    shows: dict[Id, Chance] = Field(default_factory=dict)
    """Sign to the chance that this cause alone brings it about (noisy-OR link)."""
    form: tuple[Form, ...] = ()
    """Signs that go together because the cause has one form at a time; the shares sum to one."""
    remedy: str
    caution: str = ""
    repair_minutes: float = Field(default=0, ge=0)
    source: str


class Check(Table):
    """A check worth considering: ``tells`` are the signs it makes known."""

    id: Id
    title: str
    minutes: float = Field(gt=0)
    undo_minutes: float = Field(default=0, ge=0)
    tells: tuple[Id, ...]
    needs: Where = Field(default_factory=dict)
    caution: str = ""
    order: int = 100
    """The usual order of work, lowest first; decides between checks of equal worth."""
    source: str = ""
