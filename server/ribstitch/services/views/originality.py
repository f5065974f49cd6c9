"""The originality ledger: zone by zone, what stays, what is made anew and after what, what goes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from ribstitch.planning.model import Finding, Treatment
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.trade_words import trade_words
from ribstitch.services.views.lookups import zone_names


class Outcome(StrEnum):
    """What becomes of the thing that was found."""

    KEPT = "kept"
    CONSERVED = "conserved"
    REPAIRED = "repaired"
    """The part stays; what was mended or measured is new."""
    RENEWED = "renewed"
    """Cloth, wire and plating, which are renewed by custom."""
    REPLACED = "replaced"
    REPRODUCED = "reproduced"
    REMOVED = "removed"
    """Later work goes, and the type's own configuration comes back."""
    UNDECIDED = "undecided"


OUTCOMES = {
    Treatment.KEEP: Outcome.KEPT,
    Treatment.CONSERVE: Outcome.CONSERVED,
    Treatment.REPAIR: Outcome.REPAIRED,
    Treatment.OVERHAUL: Outcome.REPAIRED,
    Treatment.RE_COVER: Outcome.RENEWED,
    Treatment.RE_WIRE: Outcome.RENEWED,
    Treatment.REPLATE: Outcome.RENEWED,
    Treatment.REPLACE: Outcome.REPLACED,
    Treatment.REPRODUCE: Outcome.REPRODUCED,
    Treatment.RESTORE: Outcome.REMOVED,
    None: Outcome.UNDECIDED,
}
"""What each treatment means for the thing (common practice, no source)."""
_ON_EVIDENCE = (Outcome.REPRODUCED, Outcome.REMOVED)
"""What rests on evidence of form."""
_TAKEN_OFF = (Outcome.REPLACED, Outcome.REPRODUCED, Outcome.REMOVED)
"""What leaves a part over."""


@dataclass(frozen=True, slots=True)
class LedgerLine:
    """One finding as the ledger sees it."""

    finding: str
    title: str
    authenticity: str
    """Of what was found: `original`, `period_change`, `later_change`, `unknown`."""
    outcome: str
    """`kept`, `conserved`, `repaired`, `renewed`, `replaced`, `reproduced`, `removed`
    or `undecided`."""
    treatment: str | None
    effect: str
    """What the treatment usually does to originality."""
    rung: str | None
    """What the decision on form rests on."""
    kept_at: str
    labelled: bool
    decided_by: str
    decided_on: date | None
    open_points: list[str]
    """What the ledger still lacks, in short sentences."""


@dataclass(frozen=True, slots=True)
class ZoneLedger:
    """The lines of a zone, by outcome and in order of entry."""

    id: str | None
    name: str
    lines: list[LedgerLine]


@dataclass(frozen=True, slots=True)
class Originality:
    """The whole ledger; withdrawn findings are left out."""

    restored_to: str
    """The date that the restoration shows; empty: nobody has said."""
    zones: list[ZoneLedger]
    by_outcome: dict[str, int]
    open_points: int


def originality(current: CurrentPlan) -> Originality:
    """Return the originality ledger of a plan."""
    plan, names = current.plan, zone_names(current)
    effects = {one.treatment: one.originality for one in trade_words().treatments}
    by_zone: dict[str | None, list[LedgerLine]] = {zone: [] for zone in names}
    for finding in plan.findings:
        if not finding.dropped:
            by_zone.setdefault(finding.zone, []).append(_line(finding, effects))
    order = list(Outcome)
    zones = [
        ZoneLedger(
            id=zone,
            name="No zone" if zone is None else names[zone],
            lines=sorted(lines, key=lambda one: order.index(Outcome(one.outcome))),
        )
        for zone, lines in by_zone.items()
        if lines
    ]
    lines = [line for zone in zones for line in zone.lines]
    return Originality(
        restored_to=plan.project.restored_to,
        zones=zones,
        by_outcome=dict(Counter(line.outcome for line in lines)),
        open_points=sum(len(line.open_points) for line in lines),
    )


def _line(finding: Finding, effects: Mapping[str, str]) -> LedgerLine:
    """Return a finding as the ledger sees it; `effects` are those of the treatments."""
    outcome = OUTCOMES[finding.treatment]
    return LedgerLine(
        finding=finding.id,
        title=finding.title or finding.seen,
        authenticity=finding.authenticity.value,
        outcome=outcome.value,
        treatment=finding.treatment and finding.treatment.value,
        effect=effects[finding.treatment.value] if finding.treatment else "",
        rung=finding.rung and finding.rung.value,
        kept_at=finding.kept_at,
        labelled=finding.labelled,
        decided_by=finding.decided_by,
        decided_on=finding.decided_on,
        open_points=_open_points(finding, outcome),
    )


def _open_points(finding: Finding, outcome: Outcome) -> list[str]:
    """Say what the ledger still lacks."""
    points = []
    if outcome is Outcome.UNDECIDED:
        points.append("Not decided yet.")
    elif not finding.decided_by:
        points.append("Who decided?")
    if outcome in _ON_EVIDENCE and finding.rung is None:
        points.append("After what evidence?")
    if outcome in _TAKEN_OFF and not finding.kept_at:
        points.append("Where is the old part?")
    if finding.kept_at and not finding.labelled:
        points.append("Kept without a label.")
    return points
