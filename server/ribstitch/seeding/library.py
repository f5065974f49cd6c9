"""What every project begins with: method cards, grades, chapters, kinds, zones, standing jobs.

All of it comes from the tables that are shipped, and all hours, prices and lead times in
them are placeholders from memory. Functions that take `texts` work on CSV texts by name;
`shipped` reads those of the installation.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from ribstitch.assets import seed_folder
from ribstitch.planning.drafting import Assumptions
from ribstitch.planning.model import (
    CardRisk,
    CardStep,
    CheckKind,
    MethodCard,
    SendOutKind,
    StandingJob,
    StepOrder,
    StepPlace,
    Zone,
)
from ribstitch.planning.model.survey import HourRange
from ribstitch.seeding.csv_rows import rows

Texts = Mapping[str, str]
"""CSV texts by the names of their files."""

_CHECKS = {"H": CheckKind.HOLD, "B": CheckKind.BUY_OFF, "W": CheckKind.WITNESS}
_DAYS_A_WEEK = 5


@dataclass(frozen=True, slots=True)
class Grade:
    """A grade of condition."""

    number: int
    name: str
    meaning: str
    hidden_percent: int
    """Allowance for work not seen yet. [% of the hours]"""


@dataclass(frozen=True, slots=True)
class Chapter:
    """A system of the aircraft, which is also the cost code."""

    number: str
    title: str
    kinds: tuple[str, ...]
    """Kinds of send-out that are usual in it."""


@lru_cache(maxsize=1)
def shipped() -> Texts:
    """
    Return the texts that are shipped for every project; read once.

    Raises
    ------
    FileNotFoundError
        If the installation lacks its seed data.
    """
    return {
        file.stem: file.read_text(encoding="utf-8") for file in sorted(seed_folder().glob("*.csv"))
    }


def airframes(texts: Texts | None = None) -> tuple[str, ...]:
    """Return the kinds of airframe that have zones and standing jobs of their own."""
    found = rows(_given(texts)["airframe_zones"])
    return tuple(dict.fromkeys(row["airframe"] for row in found))


def zones(airframe: str, texts: Texts | None = None) -> tuple[Zone, ...]:
    """Return the zones of a kind of airframe, as its map is drawn."""
    return tuple(
        Zone(row["zone"], row["name"])
        for row in rows(_given(texts)["airframe_zones"])
        if row["airframe"] == airframe
    )


def usual_chapters(airframe: str, texts: Texts | None = None) -> dict[str, tuple[str, ...]]:
    """Return the chapters that are usual in each zone of a kind of airframe. From memory."""
    return {
        row["zone"]: tuple(row["chapters"].split())
        for row in rows(_given(texts)["airframe_zones"])
        if row["airframe"] == airframe
    }


def standing_jobs(airframe: str, texts: Texts | None = None) -> tuple[StandingJob, ...]:
    """Return what an airframe of some kind needs whatever is found."""
    return tuple(
        StandingJob(
            row["job"], row["card"], row["title"], row["zone"], row["chapter"],
            Decimal(row["quantity"]),
        )
        for row in rows(_given(texts)["standing_jobs"])
        if row["airframe"] == airframe
    )  # fmt: skip


def condition_grades(texts: Texts | None = None) -> tuple[Grade, ...]:
    """Return the grades of condition, 0 to 5."""
    return tuple(
        Grade(int(row["grade"]), row["name"], row["meaning"], int(row["hidden_work_allowance_pct"]))
        for row in rows(_given(texts)["condition_grades"])
    )


def chapters(texts: Texts | None = None) -> tuple[Chapter, ...]:
    """Return the chapters in their order."""
    return tuple(
        Chapter(row["chapter"], row["title"], tuple(row["send_out_kind"].split()))
        for row in rows(_given(texts)["chapters"])
    )


def send_out_kinds(texts: Texts | None = None) -> tuple[SendOutKind, ...]:
    """Return what the trade knows of each kind; the bad case is taken as nine in ten."""
    return tuple(
        SendOutKind(
            id=row["kind"],
            over_median=float(row["over_mid"]),
            over_p90=float(row["over_bad"]),
            name=row["name"],
            rejected=float(row["rejected"]),
            growth_median=float(row["growth_mid"]),
            growth_p90=float(row["growth_bad"]),
            quoted_days=_middle_of_weeks(row["quoted_weeks"]),
        )
        for row in rows(_given(texts)["send_out_kinds"])
    )


def assumptions(texts: Texts | None = None) -> Assumptions:
    """Return what the planner assumes until the shop knows better."""
    return Assumptions(
        hidden_percent={one.number: one.hidden_percent for one in condition_grades(texts)},
        material={
            row["class"]: int(row["allowance"]) for row in rows(_given(texts)["material_classes"])
        },
    )


def method_cards(texts: Texts | None = None) -> tuple[MethodCard, ...]:
    """
    Return the method cards in their order.

    Raises
    ------
    KeyError, ValueError
        If a table lacks a column, or a figure is none.
    """
    given = _given(texts)
    steps: dict[str, list[CardStep]] = {}
    for row in rows(given["method_steps"]):
        steps.setdefault(row["card"], []).append(_step(row, given))
    risks = {row["card"]: row for row in rows(given["card_risks"])}
    orders: dict[str, list[StepOrder]] = {}
    for row in rows(given["card_orders"]):
        order = StepOrder(row["inside"], int(row["step"]), int(row["before"]))
        orders.setdefault(row["card"], []).append(order)
    return tuple(
        MethodCard(
            id=row["card"],
            name=row["name"],
            driver=row["driver"],
            steps=tuple(steps[row["card"]]),
            after_cards=tuple(row["pre_cards"].split()),
            inside=tuple(orders.get(row["card"], ())),
            one_by_one=row["one_by_one"] == "yes",
            leaves_after=_number(row["leaves_after"]),
            back_before=_number(row["back_before"]),
            hazards=tuple(row["hazards"].split()),
            evidence=row["evidence_or_hold"],
            material=row["mat"],
            risk=_risk(row, risks[row["card"]]),
            sources=row["sources"],
        )
        for row in rows(given["method_cards"])
    )


def _given(texts: Texts | None) -> Texts:
    return shipped() if texts is None else texts


def _step(row: Mapping[str, str], texts: Texts) -> CardStep:
    """Return one step of a card, with the places that it takes."""
    places: dict[str, list[str]] = {}
    for use in rows(texts["place_use"]):
        if use["card"] == row["card"] and row["n"] in use["steps"].split():
            places.setdefault(use["place"], []).extend(use["zone"].split())
    flags = (flag for flag in row["f"] if flag in _CHECKS)
    return CardStep(
        number=int(row["n"]),
        name=row["task"],
        hours=(Decimal(row["lo"]), Decimal(row["ml"]), Decimal(row["hi"])),
        trade=row["trade"] or None,
        people=int(row["people"]),
        after=tuple(int(number) for number in row["after"].split()),
        check=next((_CHECKS[flag] for flag in flags), None),
        places=tuple(StepPlace(place, tuple(used)) for place, used in places.items()),
        calendar=row["season"] or None,
    )


def _risk(card: Mapping[str, str], impact: Mapping[str, str]) -> CardRisk:
    """Return what may happen on a card."""
    falls_on = impact["falls_on"]
    return CardRisk(
        event=card["risk_event"],
        probability=float(card["prob"]),
        step=None if falls_on == "send_out" else int(falls_on),
        each_unit=impact["each_unit"] == "yes",
        hours=_spread(impact["hours"]),
        weeks=_spread(impact["weeks"]),
        percent=Decimal(impact["percent"] or 0),
        note="; ".join(part for part in (card["impact"], impact["assumed"]) if part),
    )


def _spread(text: str) -> HourRange | None:
    """Read ``low/likely/high``, or one figure for all three; blank is none."""
    if not text:
        return None
    low, likely, high = (text if "/" in text else "/".join([text] * 3)).split("/")
    return Decimal(low), Decimal(likely), Decimal(high)


def _number(text: str) -> int | None:
    return int(text) if text else None


def _middle_of_weeks(text: str) -> float:
    """Return the middle of weeks like ``20-40`` in working days."""
    low, high = (int(one) for one in text.split("-"))
    return (low + high) * _DAYS_A_WEEK / 2
