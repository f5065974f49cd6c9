"""Random evaluations: findings of any card, zone and quantity, on the shipped cards."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from functools import cache
from random import Random

from hypothesis import strategies as st

from ribstitch.planning.model import (
    Calendar,
    Crew,
    Finding,
    PastJob,
    Place,
    Plan,
    Project,
    Source,
    Treatment,
    Vendor,
)
from ribstitch.seeding import library

TRADES = ("metal", "wood", "fabric", "engine", "elec", "paint", "help", "insp", "pilot")
VENDORS = (
    Vendor(
        "V1", "One who does much", history=(PastJob("engine", 90, 120), PastJob("tank", 20, 25))
    ),
    Vendor("V2", "Plating and castings"),
    Vendor("V3", "Instruments"),
)


@cache
def shop(airframe: str) -> Plan:
    """Return a shop with a crew, before anything is found."""
    start = date(2026, 1, 5)
    return Plan(
        Project(start, start, airframe=airframe),
        calendars=(Calendar("shop"), Calendar("saturday", week_hours=(0, 0, 0, 0, 0, 6, 0))),
        zones=library.zones(airframe),
        kinds=library.send_out_kinds(),
        vendors=VENDORS,
        crew=tuple(
            Crew(trade, people=1 + number % 2, calendar=("shop", "saturday")[number % 2])
            for number, trade in enumerate(TRADES)
        ),
        places=(Place("dry-bay"), Place("wing-jig")),
        cards=library.method_cards(),
        standing_jobs=library.standing_jobs(airframe),
    )


@dataclass(frozen=True, slots=True)
class Evaluation:
    """A random evaluation, told by few numbers so that a failure can be read."""

    airframe: str
    findings: int
    seed: int
    has_standing_jobs: bool

    def plan(self) -> Plan:
        """Return a shop whose aircraft was looked at."""
        plan = shop(self.airframe)
        luck = Random(self.seed)
        found = tuple(_finding(luck, plan, number) for number in range(self.findings))
        jobs = plan.standing_jobs if self.has_standing_jobs else ()
        return replace(plan, findings=found, standing_jobs=jobs)


def evaluations(most: int = 20) -> st.SearchStrategy[Evaluation]:
    """Return evaluations of up to so many findings; a few have no standing jobs."""
    return st.builds(
        Evaluation,
        airframe=st.sampled_from(library.airframes()),
        findings=st.integers(0, most),
        seed=st.integers(0, 10**6),
        has_standing_jobs=st.integers(0, 4).map(bool),
    )


def _finding(luck: Random, plan: Plan, number: int) -> Finding:
    """Return a finding: any card or hours of its own, any zone, perhaps sent out."""
    kind = luck.choice([None, None, *(kind.id for kind in plan.kinds)])
    finding = Finding(
        id=f"F{number:02}",
        seen="something",
        zone=luck.choice([None, *(zone.id for zone in plan.zones)]),
        chapter="53",
        grade=luck.randint(0, 5),
        treatment=luck.choice([None, *Treatment]),
        quantity=Decimal(luck.randint(1, 24)) / 4,
        send_out_kind=kind,
        send_out=luck.choice([None, "S1", "S2"]) if kind else None,
        source=luck.choice(list(Source)),
        dropped=luck.random() < 0.1,
    )
    if luck.random() < 0.75:
        return replace(finding, card=luck.choice(plan.cards).id)
    if luck.random() < 0.7:
        low = luck.randint(0, 9)
        hours = Decimal(low), Decimal(low + 2), Decimal(low + 9)
        return replace(finding, own_hours=hours, own_trade=luck.choice(TRADES))
    return finding
