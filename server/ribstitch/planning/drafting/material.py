"""What the material of a job may cost, until the shop has priced it."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from decimal import ROUND_HALF_EVEN, Decimal

from ribstitch.planning.check_values import LONGEST_NAME
from ribstitch.planning.drafting.jobs import Job
from ribstitch.planning.model import Cost, Plan

MATERIAL = "material"


def allowances_of(
    plan: Plan, jobs: Sequence[Job], a_unit: Mapping[str, int], drafted: Container[str]
) -> tuple[Cost, ...]:
    """
    Return a cost line for the material of each job whose card has a class.

    A chapter for which the shop has budgeted material, or has a material line of its own,
    is left to the shop.

    Parameters
    ----------
    plan
        What is budgeted and written down.
    jobs
        All jobs.
    a_unit
        What a class costs for each unit, in the project's currency: from memory.
    drafted
        Cost lines that come from an earlier draft.
    """
    own = {line.chapter for line in plan.budget if line.kind == MATERIAL and line.amount}
    own |= {
        one.chapter
        for one in plan.costs
        if one.kind == MATERIAL and one.chapter is not None and one.id not in drafted
    }
    return tuple(
        Cost(
            id=f"material-{job.id}",
            amount=(a_unit[job.card.material] * job.quantity).quantize(
                Decimal(1), rounding=ROUND_HALF_EVEN
            ),
            currency=plan.project.currency,
            name=f"Material, class {job.card.material}, from memory: {job.title}"[:LONGEST_NAME],
            kind=MATERIAL,
            state="estimate",
            chapter=job.chapter,
            task=job.works[0].id,
        )
        for job in jobs
        if job.card is not None and job.card.material in a_unit and job.chapter not in own
    )
