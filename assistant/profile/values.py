"""The values that fields of a profile hold, and the base of its tables."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

Id = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]*$", max_length=60)]
Spoken = Annotated[str, StringConstraints(pattern=r"^[a-z']+( [a-z']+)*$", max_length=60)]
"""Words as a recogniser gives them: lower case letters, apostrophe, single spaces."""
Phones = Annotated[str, StringConstraints(pattern=r"^[A-Z]{1,2}( [A-Z]{1,2})*$")]
"""ARPABET without stress marks, as the CMU dictionary writes it."""
Unit = Annotated[str, StringConstraints(min_length=1, max_length=20)]
"""A unit's UCUM code; "1" for a plain count."""
Phrases = Annotated[tuple[Spoken, ...], Field(min_length=1)]
"""Ways to say one thing; the first is how the assistant says it."""
Pronunciations = dict[Annotated[str, StringConstraints(pattern=r"^[a-z']+$")], Phones]
"""A word that the pronouncing dictionary lacks, to its phones."""
Chance = Annotated[float, Field(ge=0, le=1)]
Where = dict[Id, Id]
"""Contexts that must hold: key to value."""


class Table(BaseModel):
    """A table of a TOML file. Unknown keys are errors, so that a misspelt field is told."""

    model_config = ConfigDict(extra="forbid", frozen=True)
