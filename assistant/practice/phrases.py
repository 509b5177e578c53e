"""Twenty phrases to be said for the check of one's own voice.

What is learnt from the first twelve is measured on the last eight, which nobody looks at before.
"""

from __future__ import annotations

LEARNT_FROM = (
    "undocked guide front one oh two",
    "guide rear ninety eight",
    "boundary front one eighty one",
    "boundary rear minus two hundred and thirty seven",
    "docked guide rear minus sixty five",
    "signal quality one hundred percent",
    "station tilt one point five degrees",
    "contact voltage open twenty eight point four volts",
    "charging current zero point two amps",
    "boundary resistance six point four ohms",
    "correction guide front one twenty",
    "guide rear seventy three undocked",
)
HELD_OUT = (
    "docked guide front one thirty six",
    "undocked boundary rear one nine one",
    "guide resistance zero point four eight ohms",
    "contact voltage loaded twenty one point four volts",
    "station tilt minus two point five degrees",
    "boundary front fifty seven",
    "signal quality eighty six percent",
    "guide rear minus seventy one docked",
)
PHRASES = (*LEARNT_FROM, *HELD_OUT)
