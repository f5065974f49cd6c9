"""Every run of a simulation is a schedule: finishes and chains to the tick, run by run.

The works that the core drew for a run are put into the slow oracle's jobs, and into
`schedule`; both must date every activity as the core's walk did.
"""

from __future__ import annotations

from datetime import date
from random import Random

import numpy as np
from hypothesis import event, given
from hypothesis import strategies as st

from ribstitch.planning.model import Calendar, Plan
from ribstitch.planning.schedule import schedule
from ribstitch.planning.uncertainty.layout import lay_out
from ribstitch.planning.uncertainty.luck import Luck
from ribstitch.planning.uncertainty.sources import model_of
from tests.core.making import link, plan, task
from tests.property.settings import examples
from tests.property.simulation_oracle import DAY, GivenWorks, SlowRun, check_runs, walk_through
from tests.property.strategies import plans
from tests.property.uncertain_strategies import uncertain_plans

RUNS = 6


@examples(80)
@given(plans(max_tasks=14, max_send_outs=2), st.randoms(use_true_random=False))
def test_any_works_give_the_oracles_finishes_and_chains(drawn: Plan, chance: Random) -> None:
    """
    Works by chance for tasks and for the legs of send-outs in every stage.

    What has no work keeps none: that is known before the runs.
    """
    planned = schedule(drawn)
    model = lay_out(planned)
    most = 20 * DAY // model.grain
    works = np.array(
        [
            [
                chance.choice((1, step.work, chance.randint(1, most))) if step.work else 0
                for _ in range(RUNS)
            ]
            for step in model.steps
        ],
        dtype=np.int32,
    ).reshape(len(model.steps), RUNS)
    event(f"{len(model.steps) // 10 * 10} open activities or more")
    check_runs(drawn, walk_through(planned, model, GivenWorks(model, works)), RUNS)


@examples(25)
@given(plans(min_tasks=15, max_tasks=40, max_send_outs=3))
def test_works_as_planned_give_the_schedule(drawn: Plan) -> None:
    """All four relations, lags, calendars, status, send-outs in every stage."""
    planned = schedule(drawn)
    runs = walk_through(planned, lay_out(planned), Luck({}, 1, 2))
    for name, finish in runs.finishes.items():
        number = planned.number(name)
        assert planned.activities[number].dropped or (finish == planned.finish[number]).all(), name
    assert (runs.project_finish == planned.project_finish).all()
    check_runs(drawn, runs, 1)


@examples(80)
@given(uncertain_plans(max_tasks=14, max_send_outs=0), st.integers(1, 1000))
def test_drawn_works_give_the_oracles_finishes_and_chains(drawn: Plan, seed: int) -> None:
    """Ranges, shared factors, hidden work and risks, on tasks in every state."""
    planned = schedule(drawn)
    model = model_of(planned)
    check_runs(
        drawn, walk_through(planned, model, Luck(model.factors, seed, RUNS, model.unit)), RUNS
    )


@examples(40)
@given(uncertain_plans(max_tasks=20, max_send_outs=0), st.integers(1, 1000))
def test_schedule_with_the_works_of_a_run_gives_its_finishes(drawn: Plan, seed: int) -> None:
    """The same against `schedule`, which has its own way from works to dates."""
    planned = schedule(drawn)
    model = model_of(planned)
    runs = walk_through(planned, model, Luck(model.factors, seed, RUNS, model.unit))
    work = planned.prepared.values.work[planned.prepared.network.rank]
    for run in range(RUNS):
        delays = {
            name: amount - int(work[planned.number(name)])
            for name, amount in runs.works_of(run).items()
        }
        again = schedule(drawn, delays=delays)
        assert again.project_finish == runs.project_finish[run]
        for name, finish in runs.finishes_of(run).items():
            number = again.number(name)
            assert again.activities[number].dropped or int(again.finish[number]) == finish, name


def test_slow_run_gives_a_result_worked_by_hand() -> None:
    """
    The oracle is checked before it checks: from Friday, B and C wait for A.

    A takes two days (Friday and Monday), B three (Tuesday to Thursday), C one. D waits for
    B and C, on Fridays alone: C, done on Tuesday, would place it on the same Friday.
    """
    fridays = Calendar("fridays", week_hours=(0, 0, 0, 0, 8, 0, 0))
    shop = Calendar("shop")
    friday = date(2026, 1, 9)
    made = plan(
        [task("A"), task("B"), task("C"), task("D", calendar="fridays")],
        [link("A", "B"), link("A", "C"), link("B", "D"), link("C", "D")],
        start=friday,
        calendars=[shop, fridays],
    )
    works = {"A": 2 * DAY, "B": 3 * DAY, "C": DAY, "D": DAY}
    slow = SlowRun(made, works)
    first = DAY * friday.toordinal()
    finishes = {name: (one.finish - first) / DAY for name, one in slow.dates.items()}
    assert finishes == {"A": 4, "B": 7, "C": 5, "D": 8}
    assert slow.on_chain() == {"A", "B", "C", "D"}
    assert SlowRun(made, {**works, "B": 4 * DAY}).on_chain() == {"A", "B", "D"}
