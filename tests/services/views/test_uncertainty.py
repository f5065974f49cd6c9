"""How sure dates and cost are, as the pages show it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import numpy as np
import pytest

from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import (
    BudgetLine,
    Crew,
    Plan,
    Risk,
    SendOutStatus,
    State,
    Task,
    TaskStatus,
)
from ribstitch.planning.uncertainty import Cause, Chance, Spread, pace_of
from ribstitch.services.views.causes_view import cause_lines
from ribstitch.services.views.lead import lead_curve, leads
from ribstitch.services.views.title_block import title_block
from ribstitch.services.views.uncertainty import Uncertainty, chance_curve, uncertainty
from ribstitch.store import UnknownThingError
from tests.services.drawn import up_to_nine_days_late
from tests.services.views.plans import current_of, hangar, with_task
from tests.store.plans import DAY

FINISH = date(2026, 2, 5)


def found(plan: Plan) -> Uncertainty:
    """Return what is shown of a plan that is 0, 1, ... 9 days late, run by run."""
    return uncertainty(current_of(plan), up_to_nine_days_late(plan, runs=1_000, seed=1))


def days(*late: int) -> list[date]:
    """Return the finish as written and so many days later."""
    return [FINISH + timedelta(days=one) for one in late]


def test_finish_is_shown_with_its_chances() -> None:
    """0 to 9 days late with equal chances; the wanted 8 February is 3 days late at most."""
    plan = hangar()
    project = replace(plan.project, target_finish=date(2026, 2, 8))
    seen = found(replace(plan, project=project))
    assert seen.planned == FINISH
    assert seen.finish == Spread(*days(0, 4, 7, 8))
    assert seen.target is not None
    assert (seen.target.date, seen.target.probability) == (date(2026, 2, 8), 0.4)
    (flight,) = seen.milestones
    assert (flight.planned, flight.p10, flight.p90) == (FINISH, FINISH, FINISH + timedelta(days=8))


def test_without_a_wanted_finish_there_is_no_chance_of_it() -> None:
    plan = hangar()
    seen = found(replace(plan, project=replace(plan.project, target_finish=None)))
    assert (seen.target, seen.both) == (None, None)


def test_curve_rises_day_by_day() -> None:
    simulation = up_to_nine_days_late(hangar(), runs=1_000, seed=1)
    curve = chance_curve(simulation)
    assert [day for day, _ in curve] == days(*range(10))
    assert [chance for _, chance in curve] == pytest.approx([n / 10 for n in range(1, 11)])


def test_curve_has_no_more_points_than_a_sheet_has_room_for() -> None:
    simulation = up_to_nine_days_late(hangar(), runs=1_000, seed=1)
    finish = simulation.planned.project_finish + DAY * np.arange(1_000)
    curve = chance_curve(replace(simulation, finish=finish))
    assert len(curve) == 240
    assert curve[0] == (FINISH, 0.001)
    assert curve[-1] == (FINISH + timedelta(days=999), 1.0)


def test_open_work_without_a_range_is_counted() -> None:
    """Of the six open tasks one says that it is certain; people's work never is of itself."""
    plan = hangar()
    ranged = Task("cover", 5 * DAY, "Cover", duration_range=(4 * DAY, 5 * DAY, 9 * DAY))
    plan = replace(plan, tasks=with_task(plan, ranged))
    sure = Task("skin", 2 * DAY, "Skin", duration_range=(2 * DAY, 2 * DAY, 2 * DAY))
    seen = found(replace(plan, tasks=with_task(plan, sure)))
    assert (seen.certain_tasks, seen.open_tasks) == (1, 6)


def test_item_that_is_away_says_when_it_is_accepted_and_how_long_the_vendor_takes() -> None:
    (engine,) = found(hangar()).send_outs
    assert (engine.planned, engine.p50) == (date(2026, 2, 2), date(2026, 2, 6))
    assert engine.lead is not None
    # arrived on Tuesday the 6th; 18 working days from the 7th to the end of the 30th
    assert (engine.lead.basis, engine.lead.promised_days) == ("quote", 18)
    assert "8 chances in 10" in engine.lead.sentence
    vendors = {one.id: one.criticality for one in found(hangar()).vendors}
    assert vendors == {"V1": 0.25, "V2": 0.25}


def test_without_rates_no_cost_is_given_and_the_sentence_says_why() -> None:
    seen = found(hangar())
    assert (seen.cost, seen.budget, seen.both) == (None, None, None)
    assert seen.cost_reason is not None
    assert seen.cost_reason.endswith(".")


def test_cost_and_budget_are_decimal_strings() -> None:
    """
    No hours to come are simulated here: what is left are three days of survey and two of
    frame, 40 hours at 50 euros. Budget and wanted finish are always kept.
    """
    crew = (Crew("metal", rate=Decimal(50)), Crew("fabric"), Crew("help"))
    budget = (BudgetLine("55", Decimal("2000.00"), "EUR"),)
    seen = found(hangar(crew=crew, budget=budget))
    assert seen.cost is not None
    assert (seen.cost.currency, seen.cost.p10, seen.cost.p90) == ("EUR", "2000.00", "2000.00")
    assert seen.budget is not None
    assert (seen.budget.amount, seen.budget.probability) == ("2000.00", 1.0)
    assert seen.both == Chance.of(1_000, 1_000)
    dearer = found(hangar(crew=crew, budget=(replace(budget[0], amount=Decimal("1999.99")),)))
    assert dearer.both == Chance.of(0, 1_000)


def test_chances_of_a_vendor_rise_with_the_days() -> None:
    curve = lead_curve(current_of(hangar()), "S1")
    far = [x for x, _ in curve.points]
    assert far == sorted(far)
    assert curve.lead == leads(current_of(hangar()))["S1"]
    within = max(chance for x, chance in curve.points if x <= curve.lead.p80_days)
    assert within >= 0.8


def test_vendor_whose_work_is_over_takes_no_more_time() -> None:
    item = hangar().send_outs[0]
    left = SendOutStatus(date(2026, 1, 5), date(2026, 1, 6), left_vendor=date(2026, 1, 8))
    current = current_of(hangar(send_outs=(replace(item, status=left),)))
    assert leads(current) == {}
    with pytest.raises(InvalidValueError, match="any more"):
        lead_curve(current, "S1")
    with pytest.raises(UnknownThingError, match='"S9"'):
        lead_curve(current, "S9")


@pytest.mark.parametrize(
    ("kind", "key", "gain", "premise", "effect"),
    [
        ("task", "hang", 2.6, '"Hang the engine" took exactly the planned time', "3 days sooner"),
        ("send_out", "S1", 1.2, '"Engine" came back exactly as planned', "1 day sooner"),
        ("vendor", "V1", -4.0, "Fin Works did everything exactly as planned", "4 days later"),
        ("zone", "tail", 7.4, "the work in Tail went as planned and nothing more were found",
         "7 days sooner"),
        ("trade", "metal", 9.0, "all metal work (Metalworker 1) went at the planned pace",
         "9 days sooner"),
        ("risk", "R1", 5.0, '"Corrosion" did not happen', "5 days sooner"),
    ],
)  # fmt: skip
def test_every_kind_of_cause_has_its_sentence(
    kind: str, key: str, gain: float, premise: str, effect: str
) -> None:
    current = current_of(hangar(risks=(Risk("R1", "Corrosion", "cover", probability=0.5),)))
    (line,) = cause_lines(current, [Cause(kind, key, gain, 0.1, None, 0.5)])
    assert line.sentence == f"If {premise}, the finish would come {effect} on average."


def test_trade_whose_work_ran_over_says_how_it_has_gone() -> None:
    """Six tasks of five days took ten each; a part of it is believed."""
    tasks = [
        Task(
            f"T{n}", 5 * DAY, trade="metal", duration_range=(4 * DAY, 5 * DAY, 7 * DAY),
            status=TaskStatus(State.DONE, started=date(2026, 1, 5), finished=date(2026, 1, 16)),
        )
        for n in range(6)
    ]  # fmt: skip
    plan = hangar()
    project = replace(plan.project, as_of=date(2026, 2, 2))
    current = current_of(replace(plan, project=project, tasks=(*plan.tasks, *tasks)))
    (line,) = cause_lines(current, [Cause("trade", "metal", 9.0, 0.1, None, 0.5)])
    pace = pace_of(current.plan, current.schedule.prepared)
    metal = next(one for one in pace.summary if (one.kind, one.id) == ("trade", "metal"))
    assert 1.2 < metal.ratio < 2
    assert line.sentence.endswith(
        f" So far it has taken {metal.ratio:.1f} times what was estimated "
        f"({metal.tasks} finished tasks seen)."
    )


def test_cause_that_hardly_matters_says_so() -> None:
    (line,) = cause_lines(current_of(hangar()), [Cause("task", "hang", 0.3, 0.1, 0.2, 0.5)])
    assert line.sentence.endswith("planned time, the finish would hardly move.")


def test_title_block_names_the_likely_date_once_it_is_known() -> None:
    """The wanted 20 February is 15 days after the date as written: always kept."""
    current = current_of(hangar())
    bare = title_block(current)
    assert (bare.likely, bare.by80, bare.p10, bare.p90) == (None,) * 4
    assert bare.chance_of_target is None
    seen = title_block(current, up_to_nine_days_late(hangar(), runs=1_000, seed=1))
    assert [seen.p10, seen.likely, seen.by80, seen.p90] == days(0, 4, 7, 8)
    assert seen.chance_of_target == 1.0
