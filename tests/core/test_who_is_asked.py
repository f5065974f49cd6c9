"""Who is asked for a kind of work: small shops, their choice told by hand."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from ribstitch.planning.drafting import Assumptions, draft_plan
from ribstitch.planning.drafting.vendors import Asked, Offers, Untaken, untaken_kinds
from ribstitch.planning.model import (
    Calendar,
    CardStep,
    Finding,
    MethodCard,
    PastJob,
    Plan,
    Project,
    SendOutKind,
    Treatment,
    Vendor,
)

KINDS = (SendOutKind("plating", 1.1, 1.6, "Plating"), SendOutKind("heat_treat", 1.1, 1.5))


def jobs(number: int, kind: str = "plating") -> tuple[PastJob, ...]:
    return (PastJob(kind, 10, 12),) * number


NAMED = Vendor("N", "Plating Works")
OLD = Vendor("O", "Old Forge", history=jobs(2))
SAYS = Vendor("S", "Salt Lane", kinds=("heat_treat", "plating"))
SAYS_TOO = Vendor("T", "Top Yard", kinds=("plating",))
SAYS_AND_DID = Vendor("D", kinds=("plating",), history=(*jobs(1), *jobs(3, "heat_treat")))
SAYS_OTHER = Vendor("X", "Plating and more", kinds=("heat_treat",), history=jobs(9))


def asked(*vendors: Vendor, kind: str = "plating") -> Asked | None:
    start = date(2026, 1, 5)
    return Offers(Plan(Project(start, start), kinds=KINDS, vendors=vendors)).vendor(kind)


@pytest.mark.parametrize(
    ("vendors", "choice"),
    [
        ((NAMED, OLD, SAYS), Asked("S", "Salt Lane is asked: it takes Plating.")),
        ((SAYS_TOO, SAYS), Asked("T", "Top Yard is asked: it takes Plating.")),
        ((SAYS, SAYS_TOO), Asked("S", "Salt Lane is asked: it takes Plating.")),
        ((SAYS, SAYS_AND_DID), Asked("D", "D is asked: it takes Plating, with 1 past job.")),
        ((NAMED, OLD), Asked("O", "Old Forge is asked: it has 2 past jobs of Plating.")),
        ((SAYS_OTHER, OLD), Asked("O", "Old Forge is asked: it has 2 past jobs of Plating.")),
        ((SAYS_OTHER, NAMED), Asked("N", "Plating Works is asked: its name says Plating.")),
        ((SAYS_OTHER,), None),
        ((), None),
    ],
)
def test_who_says_it_is_asked_before_who_did_it_before_whose_name_says_it(
    vendors: tuple[Vendor, ...], choice: Asked | None
) -> None:
    assert asked(*vendors) == choice


def test_a_kind_without_a_name_goes_by_its_id() -> None:
    assert asked(SAYS, kind="heat_treat") == Asked("S", "Salt Lane is asked: it takes heat_treat.")
    named = Vendor("H", "Heat treat hall")
    assert asked(named, kind="heat_treat") == Asked(
        "H", "Heat treat hall is asked: its name says heat_treat."
    )


def test_a_draft_says_why_a_vendor_is_asked_and_which_kind_nobody_takes() -> None:
    eight = (Decimal(8), Decimal(8), Decimal(8))
    start = date(2026, 1, 5)
    plan = Plan(
        Project(start, start),
        calendars=(Calendar("shop"),),
        kinds=KINDS,
        vendors=(SAYS_TOO,),
        cards=(MethodCard("P", "Mend", "patch", (CardStep(1, "Cut", eight),)),),
        findings=tuple(
            Finding(key, "", treatment=Treatment.REPAIR, card="P", send_out_kind=kind)
            for key, kind in (("F1", "plating"), ("F2", "heat_treat"))
        ),
    )
    draft = draft_plan(plan, Assumptions(hidden_percent=dict.fromkeys(range(6), 0), material={}))
    assert [(one.id, one.vendor) for one in draft.send_outs] == [("S-F1", "T")]
    assert draft.asked == {"S-F1": "Top Yard is asked: it takes Plating."}
    assert untaken_kinds(plan) == (Untaken("heat_treat", "heat_treat", ("F2",)),)
    (problem,) = [one for one in draft.problems if one.without_vendor]
    assert (problem.finding, problem.without_vendor) == ("F2", "heat_treat")
    assert problem.sentence == (
        "F2 is to be sent out (heat_treat), but no vendor takes that: add one, or say of one that "
        "it does, and draft again."
    )


def test_only_what_is_decided_and_stands_asks_for_a_vendor() -> None:
    start = date(2026, 1, 5)
    findings = (
        Finding("F1", "", treatment=Treatment.REPAIR, send_out_kind="plating"),
        Finding("F2", "", send_out_kind="plating"),
        Finding("F3", "", treatment=Treatment.REPAIR, send_out_kind="plating", dropped=True),
        Finding("F4", "", treatment=Treatment.REPAIR),
        Finding("F5", "", treatment=Treatment.REPLACE, send_out_kind="plating"),
    )
    plan = Plan(Project(start, start), kinds=KINDS, findings=findings)
    assert untaken_kinds(plan) == (Untaken("plating", "Plating", ("F1", "F5")),)
