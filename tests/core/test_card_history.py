"""Hours on method cards from finished tasks: reckoned by hand, and again with pandas and scipy."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from math import sqrt

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from ribstitch.assets import seed_folder
from ribstitch.planfile import read_plan_file
from ribstitch.planning.drafting.card_history import (
    Basis,
    card_history,
    next_job,
    rounded,
)
from ribstitch.planning.model import (
    CardStep,
    HoursWorked,
    MethodCard,
    Origin,
    Plan,
    Project,
    State,
    Task,
    TaskStatus,
)

DAY = date(2026, 1, 5)


def hours(low: str, likely: str, high: str) -> tuple[Decimal, Decimal, Decimal]:
    return Decimal(low), Decimal(likely), Decimal(high)


MEND = MethodCard(
    "M", "Mend", "patch",
    (
        CardStep(1, "Cut", hours("2", "4", "8"), trade="metal"),
        CardStep(2, "Cure", hours("12", "24", "36"), after=(1,)),
        CardStep(3, "Buy-off", hours("1", "2", "4"), trade="insp", after=(2,)),
    ),
)  # fmt: skip
COVER = MethodCard(
    "C", "Cover", "wing", (CardStep(1, "Fit", hours("5", "10", "30"), trade="metal"),)
)


def shop(*jobs: tuple[str, int, str, str], cards: tuple[MethodCard, ...] = (MEND, COVER)) -> Plan:
    """Return a plan with finished tasks: card, step, quantity, hours (entered in two halves)."""
    tasks, entries = [], []
    for number, (card, step, quantity, worked) in enumerate(jobs):
        name = f"T{number}"
        origin = Origin(name, None, card, step, Decimal(quantity))
        tasks.append(Task(name, 960, origin=origin, status=TaskStatus(State.DONE, DAY, DAY)))
        half = Decimal(worked) / 2
        entries += [HoursWorked(f"{name}{one}", name, DAY, half) for one in "ab"]
    return Plan(Project(DAY, DAY), tasks=tuple(tasks), cards=cards, hours=tuple(entries))


def test_three_jobs_alike_give_their_hours_and_the_usual_scatter() -> None:
    """By hand: 8 h for 2 patches, 4 for 1, 12 for 3 are 4 h each. All deviations are 0, so
    w^2 = 4 * 0.35^2 / 6 * (1 + 1/3) = 0.10889, w = 0.32998; the 90 % quantile of Student's t
    with 6 degrees of freedom is 1.440 (tables), so that the next job lies between
    4 / exp(0.4752) = 2.487 and 4 * exp(0.4752) = 6.433."""
    plan = shop(("M", 1, "2", "8"), ("M", 1, "1", "4"), ("M", 1, "3", "12"))
    known = card_history(plan)["M", 1]
    assert (known.jobs, known.average) == (3, Fraction(4))
    assert known.proposal is not None
    assert known.proposal.hours == hours("2.5", "4", "6.4")
    assert (known.proposal.basis, known.proposal.jobs, known.proposal.ratio) == (
        Basis.STEP, 3, None,
    )  # fmt: skip
    assert next_job([4.0, 4.0, 4.0]) == pytest.approx((2.487, 4.0, 6.433), abs=2e-3)


def test_jobs_that_differ_widen_the_hours() -> None:
    """By hand: logarithms of 2, 4, 8 are 1, 2, 3 times 0.69315; S = 2 * 0.69315^2 = 0.96091,
    w^2 = (0.49 + 0.96091) / 6 * 4 / 3 = 0.32242, w = 0.56782, exp(1.440 * w) = 2.265."""
    assert next_job([2.0, 4.0, 8.0]) == pytest.approx((1.766, 4.0, 9.060), abs=3e-3)


def test_step_with_fewer_jobs_takes_the_ratio_of_its_card_then_of_its_trade() -> None:
    """By hand. M: worked 6 + 6 + 3 on likely 4 + 4 + 2 is 3/2, from three tasks; so 2, 4, 8
    becomes 3, 6, 12. C has one task: its trade has 6 + 6 + 18 worked on 4 + 4 + 10, 5/3."""
    plan = shop(("M", 1, "1", "6"), ("M", 1, "1", "6"), ("M", 3, "1", "3"), ("C", 1, "1", "18"))
    known = card_history(plan)
    cut, cure, cover = known["M", 1].proposal, known["M", 2].proposal, known["C", 1].proposal
    assert cut is not None
    assert (cut.hours, cut.basis, cut.jobs) == (hours("3", "6", "12"), Basis.CARD, 3)
    assert cut.ratio == Fraction(3, 2)
    assert cure is None
    assert cover is not None
    assert (cover.hours, cover.basis, cover.jobs) == (hours("8.3", "17", "50"), Basis.TRADE, 3)
    assert cover.ratio == Fraction(5, 3)


def test_two_finished_tasks_propose_nothing() -> None:
    known = card_history(shop(("M", 1, "1", "6"), ("M", 3, "1", "3")))
    assert {one.proposal for one in known.values()} == {None}
    assert (known["M", 1].jobs, known["M", 1].average) == (1, Fraction(6))
    assert (known["C", 1].jobs, known["C", 1].average) == (0, None)


def test_hours_of_the_shops_own_are_not_stretched_again() -> None:
    """A ratio would grow the same hours each time that it is taken."""
    own = replace(MEND, from_memory=False)
    jobs = [("M", 1, "1", "6"), ("M", 1, "1", "6"), ("M", 3, "1", "3")]
    known = card_history(shop(*jobs, cards=(own, COVER)))
    assert {one.proposal for one in known.values()} == {None}


def test_cards_with_hours_of_the_shops_own_tell_nothing_of_hours_from_memory() -> None:
    """What the shop needed stands on them already: their ratio is near 1, whatever it was."""
    own = replace(MEND, from_memory=False)
    known = card_history(shop(*[("M", 1, "1", "6")] * 4, cards=(own, COVER)))
    assert known["C", 1].proposal is None
    assert card_history(shop(*[("M", 1, "1", "6")] * 4))["C", 1].proposal is not None


def test_proposal_stays_the_same_once_it_is_taken() -> None:
    jobs = [("M", 1, "1", one) for one in ("5", "6", "9", "7")]
    proposal = card_history(shop(*jobs))["M", 1].proposal
    assert proposal is not None
    first, *rest = MEND.steps
    taken = replace(MEND, steps=(replace(first, hours=proposal.hours), *rest), from_memory=False)
    assert card_history(shop(*jobs, cards=(taken,)))["M", 1].proposal == proposal


def test_only_finished_tasks_with_hours_worked_tell_anything() -> None:
    plan = shop(*[("M", 1, "1", "6")] * 4)
    at_work = replace(plan.tasks[0], status=TaskStatus(State.IN_WORK, DAY))
    by_hand = replace(plan.tasks[1], origin=None)
    tasks = (at_work, by_hand, *plan.tasks[2:])
    without = tuple(one for one in plan.hours if one.task != "T2")
    known = card_history(replace(plan, tasks=tasks, hours=without))
    assert known["M", 1].jobs == 1


@pytest.mark.parametrize(
    ("given", "shown"),
    [(0.364, "0.36"), (115.0, "120"), (4.05, "4.0"), (9.96, "10"), (0.0, "0"), (1.25, "1.3")],
)
def test_hours_are_proposed_to_two_digits(given: float, shown: str) -> None:
    """4.05 is a little less than that as a float; 1.25 is exact, and halves go up."""
    assert rounded(given) == Decimal(shown)
    assert str(rounded(given)) in {shown, shown.removesuffix(".0")}


def test_demo_agrees_with_pandas_and_scipy() -> None:
    """Every step with three jobs or more, by the formula of a prediction interval."""
    plan = read_plan_file(seed_folder() / "garganey.plan.json")
    table = pd.DataFrame(_rows(plan))
    worked = pd.DataFrame({"task": [one.task for one in plan.hours],
                           "hours": [float(one.hours) for one in plan.hours]})  # fmt: skip
    table = table.join(worked.groupby("task")["hours"].sum(), on="task").dropna(subset=["hours"])
    table["each"] = table["hours"] / table["quantity"]
    known = card_history(plan)
    seen = 0
    for key, group in table.groupby(["card", "step"]):
        one = known[key]  # type: ignore[index]
        assert one.jobs == len(group)
        assert float(one.average or 0) == pytest.approx(group["each"].mean())
        if len(group) < 3:
            continue
        seen += 1
        logs = np.log(group["each"])
        degrees = 3 + len(group)
        spread = (4 * 0.35**2 + ((logs - logs.mean()) ** 2).sum()) / degrees
        wide = sqrt(spread * (1 + 1 / len(group)))
        expected = np.exp(stats.t.ppf([0.1, 0.5, 0.9], degrees, logs.mean(), wide))
        assert one.proposal is not None
        assert [float(hour) for hour in one.proposal.hours] == pytest.approx(expected, rel=0.05)
        assert next_job(list(group["each"])) == pytest.approx(expected)
    assert seen >= 3


def _rows(plan: Plan) -> Iterator[dict[str, object]]:
    """Yield the finished tasks of a card."""
    for task in plan.tasks:
        if task.status.state is State.DONE and task.origin and task.origin.card:
            yield {"task": task.id, "card": task.origin.card, "step": task.origin.step,
                   "quantity": float(task.origin.quantity)}  # fmt: skip
