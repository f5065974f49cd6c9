"""
Chapters that come with the program, against the published code table.

The table: FAA, Joint Aircraft System/Component (JASC) Code Table and Definitions, a modified
ATA Spec 100. Its chapters are written here from memory, in short words of our own; so are the
few chapters that stand in ATA Spec 100 alone.
"""

from __future__ import annotations

import pytest

from ribstitch.seeding import library
from ribstitch.seeding.csv_rows import rows

JASC = {
    11: "placards markings", 12: "servicing", 14: "hardware", 18: "helicopter vibration",
    21: "air conditioning heat ventilation", 22: "auto flight", 23: "communications",
    24: "electrical power", 25: "equipment furnishings", 26: "fire protection",
    27: "flight controls", 28: "fuel", 29: "hydraulic power", 30: "ice rain protection",
    31: "instruments", 32: "landing gear", 33: "lights", 34: "navigation", 35: "oxygen",
    36: "pneumatic", 37: "vacuum", 38: "water waste", 45: "central maintenance",
    49: "auxiliary power", 51: "structures", 52: "doors", 53: "fuselage",
    54: "nacelles pylons", 55: "stabilizers", 56: "windows", 57: "wings", 61: "propellers",
    62: "main rotor", 63: "main rotor drive", 64: "tail rotor", 65: "tail rotor drive",
    67: "rotors flight control", 71: "powerplant", 72: "turbine engine",
    73: "engine fuel control", 74: "ignition", 75: "engine bleed air", 76: "engine controls",
    77: "engine indicating", 78: "exhaust", 79: "oil", 80: "starting", 81: "turbocharging",
    82: "water injection", 83: "accessory gearboxes", 85: "reciprocating engine",
}  # fmt: skip
ATA_ALONE = {
    5: "time limits", 6: "dimensions", 7: "lifting", 8: "levelling weighing", 9: "towing",
    10: "parking", 20: "standard practices airframe", 60: "standard practices propeller",
    70: "standard practices engine",
}  # fmt: skip
PUBLISHED = JASC | ATA_ALONE
CHAPTERS = {int(row["chapter"]): row["title"] for row in rows(library.shipped()["chapters"])}
HOUSE = {90, 91, 92, 93, 99}
"""Cost codes of a shop, common practice, no source: numbers that the table leaves free."""


@pytest.mark.parametrize("number", sorted(set(CHAPTERS) - HOUSE))
def test_a_chapter_has_the_number_that_is_published_for_its_title(number: int) -> None:
    ours = set(CHAPTERS[number].lower().replace("(", " ").replace(")", " ").split())
    assert ours & set(PUBLISHED[number].split()), CHAPTERS[number]


def test_house_codes_take_no_published_number() -> None:
    assert set(CHAPTERS) >= HOUSE
    assert not HOUSE & set(PUBLISHED)


def test_what_an_aircraft_with_a_piston_engine_is_made_of_has_a_chapter() -> None:
    """Left out: helicopters, turbines, and what light aircraft of an age do not have."""
    left_out = {18, 22, 35, 36, 38, 45, 49, 62, 63, 64, 65, 67, 72, 75, 82, 83}
    assert set(JASC) - left_out == set(CHAPTERS) - HOUSE - set(ATA_ALONE)
