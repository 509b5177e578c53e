"""The shape of a profile: what a TOML file in grammars/ may say, validated by pydantic.

A profile is the trade as data. From this one description come the recognisers' grammars, the
parser's labels, the checks and the documentation. Every model forbids unknown keys, so that a
misspelt field is told and not ignored. ``source`` says where a value comes from: a standard, the
maker's manual to be consulted, or "this depot's fleet, common practice, no source".
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

Id = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]*$", max_length=60)]
Spoken = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z' ]*$", max_length=60)]
"""Words as a recogniser gives them: lower case letters, apostrophe, single spaces."""
Unit = Annotated[str, StringConstraints(min_length=1, max_length=20)]
"""A unit's UCUM code; "1" for a plain count."""
Where = dict[Id, Id]
"""Contexts that must hold: key to value."""


class _Model(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Header(_Model):
    id: Id
    title: str
    version: str
    notice: str
    """Said to every reader of the file: whose tolerances these are."""
    pronunciations: dict[str, str] = {}
    """ARPABET phones for words that the pronouncing dictionary lacks."""


class Position(_Model):
    id: Id
    title: str
    spoken: tuple[Spoken, ...]
    quantity: Id | None = None
    """The quantity meant when the position is said without a label."""


class ContextValue(_Model):
    id: Id
    spoken: tuple[Spoken, ...]
    reach: str = ""
    """What to do so that it holds ("drive the mower out of the station first")."""


class Context(_Model):
    """Something that decides what a number means. It sticks until it changes or lapses."""

    id: Id
    title: str
    ask: str
    """The question that asks for it."""
    value: tuple[ContextValue, ...]
    lapses_after_minutes: float | None = Field(default=None, gt=0)


class Event(_Model):
    """Something done that ends contexts ("mower moved")."""

    id: Id
    spoken: tuple[Spoken, ...]
    ends: tuple[Id, ...]


class Quantity(_Model):
    id: Id
    title: str
    spoken: tuple[Spoken, ...]
    unit: Unit
    unit_spoken: tuple[Spoken, ...] = ()
    """How the unit is said; the first is how it is said back."""
    plausible: tuple[float, float]
    """A value outside (limits included as plausible) can't be: it is asked again, not flagged."""
    decimals: int = Field(default=0, ge=0, le=6)
    """The finest resolution the display or meter shows."""
    positions: tuple[Id, ...] = ()
    needs: tuple[Id, ...] = ()
    """Contexts without which the number can't be judged."""
    members: dict[Id, Id] = {}
    """For a quantity that stands for one of several until a word decides: the deciding context's
    value to the quantity meant ("guide" to guide_signal)."""
    decided_by: Id | None = None
    """The context whose value picks among ``members``; it is listed as missing until said."""
    source: str = ""


class Choice(_Model):
    id: Id
    spoken: tuple[Spoken, ...]
    verdict: Literal["ok", "suspect", "out"] = "ok"
    reason: str = ""


class Observation(_Model):
    """Something seen or told. ``kind``: one of listed choices, an identifier (letters and
    digits), or free words to the end of the utterance."""

    id: Id
    title: str
    spoken: tuple[Spoken, ...]
    kind: Literal["choice", "identifier", "text"]
    choice: tuple[Choice, ...] = ()
    caution: str = ""
    source: str = ""


class Tolerance(_Model):
    """Limits of one quantity in one context; both limits are inclusive (the limit is fine)."""

    id: Id
    quantity: Id
    position: Id | None = None
    when: Where = {}
    low: float | None = None
    high: float | None = None
    verdict: Literal["out", "suspect"] = "out"
    reason: str
    """Why a value beyond the limit matters; the finding adds the value and the limit."""
    otherwise: str = ""
    """Why the rule does not apply in another context (printed with not_applicable)."""
    source: str


class Pair(_Model):
    """Two positions of one quantity that should agree to within ``max_difference`` (inclusive)."""

    id: Id
    quantity: Id
    positions: tuple[Id, Id]
    when: Where = {}
    max_difference: float = Field(ge=0)
    verdict: Literal["out", "suspect"] = "suspect"
    reason: str
    otherwise: str
    source: str


class Computed(_Model):
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
    when: Where = {}
    unit: Unit
    low: float | None = None
    high: float | None = None
    verdict: Literal["out", "suspect"] = "suspect"
    reason: str
    source: str


class Sign(_Model):
    """A yes-or-no sign that causes explain, read off the session by one rule's verdict or one
    observation's choice. ``rule`` names a tolerance, a pair, a computed rule or an observation;
    the sign is present when its verdict is among ``present``, absent when it is "ok", unknown
    otherwise. With ``lower``, for a pair, it is present only where that position reads the less
    of the two, and absent where the other does. ``leak`` is the chance of the sign with no listed cause; ``misread`` the chance
    that the sign is wrong because the reading was (wrong context, misheard digit)."""

    id: Id
    title: str
    rule: Id
    present: tuple[Literal["out", "suspect"], ...] = ("out", "suspect")
    lower: Id | None = None
    leak: float = Field(gt=0, lt=1)
    misread: float = Field(default=0.01, ge=0, lt=0.5)
    source: str


class Cause(_Model):
    id: Id
    title: str
    prior: float = Field(gt=0, lt=1)
    shows: dict[Id, float] = {}
    """Sign to the chance that this cause alone brings it about (noisy-OR link)."""
    remedy: str
    caution: str = ""
    repair_minutes: float = Field(default=0, ge=0)
    source: str


class Check(_Model):
    """A check worth considering: ``tells`` are the signs it makes known."""

    id: Id
    title: str
    minutes: float = Field(gt=0)
    undo_minutes: float = Field(default=0, ge=0)
    tells: tuple[Id, ...]
    needs: Where = {}
    caution: str = ""
    order: int = 100
    """The usual order of work, lowest first; decides between checks of equal worth."""
    source: str = ""


class Step(_Model):
    """One step of a round: a reading ("quantity" or "quantity@position") or an observation to
    take, in a context, said as ``say``, its caution first."""

    take: str
    say: str
    when: Where = {}
    caution: str = ""


class Round(_Model):
    id: Id
    title: str
    spoken: tuple[Spoken, ...]
    step: tuple[Step, ...]
    release: bool = False
    """This round must be complete before a mower may be called ready for use."""


class Profile(_Model):
    """One trade. The field names are the table names of the TOML file."""

    profile: Header
    position: tuple[Position, ...] = ()
    context: tuple[Context, ...] = ()
    event: tuple[Event, ...] = ()
    quantity: tuple[Quantity, ...]
    observation: tuple[Observation, ...] = ()
    tolerance: tuple[Tolerance, ...] = ()
    pair: tuple[Pair, ...] = ()
    computed: tuple[Computed, ...] = ()
    sign: tuple[Sign, ...] = ()
    cause: tuple[Cause, ...] = ()
    check: tuple[Check, ...] = ()
    round: tuple[Round, ...] = ()
    constants: dict[Id, float] = {}
    """Numbers that computed rules take (coil axis, copper coefficient …), by name."""

    @property
    def id(self) -> str:
        return self.profile.id


class Command(_Model):
    """A voice command. ``takes`` says what follows: nothing, an identifier, a label (quantity and
    position), a round's name, words to the end, or a whole statement ("correction …")."""

    id: Id
    spoken: tuple[Spoken, ...]
    takes: Literal["nothing", "identifier", "label", "round", "text", "statement"] = "nothing"
    help: str


class NumberWords(_Model):
    """Every way a number's parts are said; a word maps to one value only within a table."""

    digits: dict[Spoken, int]
    teens: dict[Spoken, int]
    tens: dict[Spoken, int]
    scales: dict[Spoken, int]
    minus: tuple[Spoken, ...]
    point: tuple[Spoken, ...]
    joiner: tuple[Spoken, ...]
    """"and" in "one hundred and two"."""
    article: tuple[Spoken, ...]
    """"a" in "a hundred"."""
    repeat: dict[Spoken, int]
    """"double" 2, "triple" 3."""
    fractions: dict[Spoken, str]
    """"and a half" as its decimal part: "half" to "5", "quarter" to "25"."""


class SpokenWords(_Model):
    """grammars/spoken.toml: number words and voice commands, the same for every trade."""

    numbers: NumberWords
    no_reading: tuple[Spoken, ...]
    off_scale: tuple[Spoken, ...]
    fillers: tuple[Spoken, ...]
    """Words that carry nothing and may stand anywhere ("is", "the", "reads")."""
    letters: dict[Spoken, str] = {}
    """Letters of an identifier by name or alphabet: "alfa" to "A"."""
    pronunciations: dict[str, str] = {}
    """ARPABET phones for words that the pronouncing dictionary lacks."""
    command: tuple[Command, ...]
