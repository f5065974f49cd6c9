"""Each check of plan health on a small plan with the fault in it, and on one without."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given

from ribstitch.planning.errors import PlanError
from ribstitch.planning.health.assessing import assess
from ribstitch.planning.health.baseline import finishes_of
from ribstitch.planning.health.check import Check, Verdict, in_days, worst_first
from ribstitch.planning.health.rules import PRACTICES, RULES, THRESHOLDS, limits_of
from ribstitch.planning.model import (
    Baseline,
    Calendar,
    Cost,
    Crew,
    CrewLink,
    Milestone,
    Package,
    Plan,
    SendOut,
    SendOutStatus,
    Source,
    Vendor,
    Zone,
)
from ribstitch.planning.prepared import calendars_of
from ribstitch.planning.schedule import schedule
from tests.core.making import MONDAY, SHOP, link, plan, status, task, ticks
from tests.property.oracle_days import WorkDays
from tests.property.settings import examples
from tests.property.strategies import plans

TUESDAY = MONDAY + timedelta(days=1)
VENDOR = Vendor("V1")


def checks(made: Plan, baseline: dict[str, date] | None = None) -> dict[str, Check]:
    """Return the checks of a plan by id."""
    return {one.rule.id: one for one in assess(schedule(made), baseline)}


def named(made: Plan, check: str) -> list[tuple[str, str]]:
    """Return whom a check names, and why."""
    return [(one.id, one.note) for one in checks(made)[check].offenders]


def chain(*names: str, **fields: Any) -> Plan:
    """Return tasks one after the other, between two milestones."""
    tasks = [task(name, 2, **fields) for name in names]
    start, end = task("begin", 0, milestone=Milestone.START), task("end", 0)
    ids = ["begin", *names, "end"]
    return plan([start, *tasks, end], [link(a, b) for a, b in pairwise(ids)])


def sound() -> Plan:
    """Return a small plan in which nothing is wrong, in every respect that is judged."""
    whole = chain("strip", "mend", chapter="55", zone="tail", trade="metal")
    return replace(
        whole,
        tasks=tuple(replace(one, name=one.id.title(), duration_range=(0, 1, 2880)) for one in
                    whole.tasks),
        zones=(Zone("tail"),),
        crew=(Crew("metal"),),
        project=replace(whole.project, target_finish=MONDAY + timedelta(days=11)),
    )  # fmt: skip


# What a check is


def test_every_rule_is_checked_in_its_order() -> None:
    assert [one.rule for one in assess(schedule(sound()))] == list(RULES)


def test_all_ten_practices_have_a_check_and_every_check_an_id_of_its_own() -> None:
    assert sorted({rule.practice for rule in RULES}) == sorted(PRACTICES) == list(range(1, 11))
    ids = [*(rule.id for rule in RULES), *(one.id for one in THRESHOLDS)]
    assert len(set(ids)) == len(ids)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_rule_says_where_its_limit_is_from_and_what_to_do(rule: Any) -> None:
    assert rule.source
    assert rule.advice.endswith(".")


def test_sound_plan_keeps_every_limit_that_can_be_judged() -> None:
    verdicts = {name: one.ok for name, one in checks(sound()).items()}
    unknown = {name for name, ok in verdicts.items() if ok is None}
    assert unknown == {
        "merge_points", "no_range", "out_of_sequence",  # listed, not judged
        "loose_send_outs",  # there is none
        "late_against_baseline", "execution_index",  # no approved plan
    }  # fmt: skip
    assert all(ok for name, ok in verdicts.items() if name not in unknown)


def test_plan_without_work_has_nothing_to_judge_yet() -> None:
    for one in assess(schedule(plan())):
        assert (one.count, one.of, one.share, one.ok, one.excess) == (0, 0, None, None, None)


def test_finished_plan_has_nothing_open_to_judge() -> None:
    done = status("done", started=MONDAY, finished=MONDAY)
    found = checks(plan([task("T1", status=done)], as_of=TUESDAY))
    assert {name for name, one in found.items() if one.of} == {
        "dates_out_of_time", "out_of_sequence",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("count", "of", "limit", "ok"),
    [(1, 20, 0.05, True), (2, 20, 0.05, False), (3, 10, 0.3, True), (7, 100, 0.07, True)],
)
def test_a_share_on_the_limit_keeps_it(count: int, of: int, limit: float, ok: bool) -> None:
    """Though 3 / 10 > 0.1 * 3 in binary fractions, and the like."""
    rule = next(rule for rule in RULES if rule.id == "lags")
    assert Check(rule, limit, count, of, ()).ok is ok


def test_excess_says_which_is_worse() -> None:
    lags, straight = (
        next(rule for rule in RULES if rule.id == name) for name in ("lags", "finish_start")
    )
    assert Check(lags, 0.05, 5, 10, ()).excess == 0.45
    assert Check(straight, 0.9, 4, 10, ()).excess == 0.5


def test_worst_comes_first_and_what_is_well_last() -> None:
    lags, leads, merges = (
        next(rule for rule in RULES if rule.id == name)
        for name in ("lags", "leads", "merge_points")
    )
    bad, worse = Check(lags, 0.05, 5, 10, ()), Check(leads, 0, 6, 10, ())
    kept, listed = Check(lags, 0.05, 0, 10, ()), Check(merges, None, 3, 10, ())
    not_yet = Check(leads, 0, 0, 0, ())
    assert worst_first([not_yet, kept, listed, bad, worse]) == [worse, bad, listed, not_yet, kept]
    assert [one.verdict for one in (worse, listed, not_yet, kept)] == list(Verdict)


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (1, "1 day"),
        (0.5, "0.5 days"),
        (1.125, "1.1 days"),
        (0.05, "less than 0.1 days"),
        (2000, "2000 days"),
    ],
)
def test_days_are_written_with_their_unit(days: float, words: str) -> None:
    assert in_days(days) == words


# Limits of the shop


def test_shop_changes_a_limit_and_what_counts_as_long() -> None:
    made = chain("a", "b")
    assert checks(made)["long_tasks"].count == 0
    limits = (("long_task_days", 1.5), ("long_tasks", 1.0), ("no_range", 0.5))
    stricter = replace(made, project=replace(made.project, health_limits=limits))
    found = checks(stricter)
    assert (found["long_tasks"].count, found["long_tasks"].ok) == (2, True)
    assert (found["no_range"].limit, found["no_range"].ok) == (0.5, False)
    assert found["lags"].limit == 0.05


def test_limits_are_the_usual_ones_where_the_shop_has_none_of_its_own() -> None:
    usual = limits_of({})
    assert usual["missing_links"] == 0.05
    assert usual["merge_points"] is None
    assert usual["long_task_days"] == usual["large_float_days"] == 44
    assert limits_of({"lags": 0.2}) == {**usual, "lags": 0.2}


@pytest.mark.parametrize(
    ("limits", "sentence"),
    [
        ({"leeds": 0}, 'project.health_limits.leeds: there is no health check "leeds" in the plan'),
        ({"lags": 1.2}, "project.health_limits.lags: 1.2 is not between 0 and 1"),
        ({"lags": -0.1}, "project.health_limits.lags: -0.1 is not between 0 and 1"),
        ({"lags": float("nan")}, "project.health_limits.lags: nan is not between 0 and 1"),
        ({"execution_index": 2.5}, "project.health_limits.execution_index: 2.5 is not between"),
        ({"long_task_days": 0}, "project.health_limits.long_task_days: 0 days is not between"),
        ({"large_float_days": 1e4}, "project.health_limits.large_float_days: 10000 days is not"),
    ],
)
def test_limit_that_makes_no_sense_is_refused(limits: dict[str, float], sentence: str) -> None:
    with pytest.raises(PlanError) as refused:
        schedule(plan(project={"health_limits": tuple(limits.items())}))
    assert str(refused.value).startswith(sentence)


# 1. All work is in the plan


def test_names_are_compared_without_case_and_spaces() -> None:
    made = chain("a", "b", "c", "d")
    names = {"a": "Left  rib", "b": "left rib", "c": " ", "d": "Right rib"}
    made = replace(
        made, tasks=tuple(replace(one, name=names.get(one.id, "")) for one in made.tasks)
    )
    assert named(made, "names") == [
        ("a", "2 tasks have it"), ("b", "2 tasks have it"), ("c", "no name"),
    ]  # fmt: skip


def test_task_without_a_chapter_has_no_cost_code() -> None:
    assert named(plan([task("a", chapter="28"), task("b")]), "cost_codes") == [("b", "")]


# 2. Work is in order (the planted network of tests/published counts the rest)


def test_dropped_task_ties_nothing_of_its_own() -> None:
    gone = task("gone", status=status("dropped"))
    made = plan([task("a"), gone, task("b")], [link("a", "gone"), link("gone", "b")])
    assert named(made, "missing_links") == [
        ("a", "nothing comes before it"), ("b", "nothing waits for it"),
    ]  # fmt: skip
    loose = plan([task("a"), gone], [link("a", "gone")])
    assert named(loose, "missing_links") == [("a", "linked to nothing")]
    assert checks(made)["lags"].of == 0


def test_order_of_the_crew_ties_nothing() -> None:
    """A task that hangs on crew links alone has no place in the work, and merges nothing."""
    whole = chain("strip", "mend", trade="metal")
    alone = replace(
        whole,
        tasks=(*whole.tasks, task("sweep", trade="metal")),
        crew_links=(CrewLink("mend", "sweep", names=("metal",)), CrewLink("sweep", "end")),
    )
    assert named(alone, "missing_links") == [("sweep", "linked to nothing")]
    assert named(alone, "dangling_starts") == [("sweep", "")]
    assert named(alone, "dangling_finishes") == [("sweep", "")]
    tied = replace(alone, links=(*alone.links, link("strip", "sweep"), link("sweep", "end")))
    assert named(tied, "missing_links") == []
    assert named(tied, "merge_points") == []


def test_send_out_ties_what_it_waits_for_and_what_waits_for_it() -> None:
    item = SendOut("S1", "V1", after=("a",), before=("b",), lead=ticks(5))
    made = plan([task("a"), task("b")], vendors=[VENDOR], send_outs=[item])
    assert named(made, "missing_links") == [
        ("a", "nothing comes before it"), ("b", "nothing waits for it"),
    ]  # fmt: skip
    assert checks(made)["finish_start"].of == 0


def test_work_begun_needs_no_tie_at_its_start_any_more() -> None:
    begun = task("a", 3, status=status("in_work", started=MONDAY))
    assert named(plan([begun], as_of=TUESDAY), "dangling_starts") == []
    assert named(plan([task("a")]), "dangling_starts") == [("a", "")]


def test_links_into_finished_work_are_history() -> None:
    done = status("done", started=MONDAY, finished=MONDAY)
    tasks = [task("a", status=done), task("b", status=done), task("c")]
    links = [link("a", "b", lag=-1), link("b", "c", lag=1)]
    found = checks(plan(tasks, links, as_of=TUESDAY))
    assert (found["leads"].count, found["lags"].count, found["lags"].of) == (0, 1, 1)
    assert found["lags"].offenders[0].note == "after b, 1 day later"


@pytest.mark.parametrize(
    ("relation", "words"),
    [
        ("SS", "with the start of a"), ("FF", "finishes with a"),
        ("SF", "finishes with the start of a"),
    ],
)  # fmt: skip
def test_other_links_are_named_by_the_task_that_waits(relation: str, words: str) -> None:
    made = plan([task("a"), task("b")], [link("a", "b", relation)])
    assert named(made, "finish_start") == [("b", words)]


def test_merge_points_come_with_the_busiest_first() -> None:
    item = SendOut("S1", "V1", after=("a",), before=("d",), lead=ticks(5))
    links = [link("a", "c"), link("b", "c"), link("a", "d"), link("b", "d"), link("b", "d", "SS")]
    made = plan([task(name) for name in "abcd"], links, vendors=[VENDOR], send_outs=[item])
    assert named(made, "merge_points") == [("d", "waits for 3"), ("c", "waits for 2")]


# 3. Somebody does it


def test_task_needs_a_trade_of_the_crew_or_a_cost_line() -> None:
    tasks = [
        task("metal", trade="metal"), task("engine", trade="engine"), task("nobody"),
        task("paid"), task("drying", calendar="elapsed"), task("away", trade="gone"),
    ]  # fmt: skip
    crew = [Crew("metal"), Crew("gone", people=0)]
    made = plan(tasks, crew=crew, costs=[Cost("C1", Decimal(9), "EUR", task="paid")])
    assert named(made, "no_crew") == [
        ("engine", 'nobody has the trade "engine"'),
        ("nobody", "no trade"),
        ("away", 'nobody has the trade "gone"'),
    ]
    without_crew = plan(tasks[:2])
    assert named(without_crew, "no_crew") == []


def test_two_tasks_on_one_pair_of_hands_are_too_many() -> None:
    """Monday to Wednesday and Tuesday: two at once on Tuesday alone, of three days asked for."""
    tasks = [task("a", 3, trade="metal"), task("b", 1, trade="metal", not_before=TUESDAY)]
    one = checks(plan(tasks, crew=[Crew("metal")]))["over_crew"]
    assert (one.count, one.of, one.ok) == (1, 3, False)
    assert [(who.id, who.note) for who in one.offenders] == [
        ("a", f"too much metal work on 1 day of it, first on {TUESDAY}"),
        ("b", f"too much metal work on 1 day of it, first on {TUESDAY}"),
    ]
    assert checks(plan(tasks, crew=[Crew("metal", 2)]))["over_crew"].ok
    assert checks(plan(tasks, crew=[Crew("metal"), Crew("metal")]))["over_crew"].ok


def test_two_half_days_one_after_the_other_are_one_day() -> None:
    tasks = [task("a", 0.5, trade="metal"), task("b", 0.5, trade="metal")]
    one = checks(plan(tasks, [link("a", "b")], crew=[Crew("metal")]))["over_crew"]
    assert (one.count, one.of) == (0, 1)


def test_volunteers_of_two_days_are_not_there_on_the_others() -> None:
    """A week of shop work by hands that come on Saturdays and Mondays: four days too many."""
    few = Calendar("few", week_hours=(8, 0, 0, 0, 0, 8, 0))
    made = plan([task("a", 5, trade="help")], calendars=[SHOP, few], crew=[Crew("help", 1, "few")])
    one = checks(made)["over_crew"]
    assert (one.count, one.of) == (4, 5)


def test_hours_count_not_calendar_days() -> None:
    """A day of a six-hour calendar is six hours: eight are there; the other way two are missing."""
    short = Calendar("short", day_hours=6, week_hours=(6,) * 5 + (0, 0))
    fits = plan(
        [task("a", 1, trade="x", calendar="short")], calendars=[SHOP, short], crew=[Crew("x")]
    )
    over = plan([task("a", 1, trade="x")], calendars=[SHOP, short], crew=[Crew("x", 1, "short")])
    assert checks(fits)["over_crew"].count == 0
    assert checks(over)["over_crew"].count == 1


# 4. and 5.


def test_forty_four_days_are_not_long_yet() -> None:
    tasks = [task("a", 44), task("b", 44.125)]
    assert named(plan(tasks), "long_tasks") == [("b", "44.1 days")]


def test_lead_time_of_a_vendor_is_no_long_task() -> None:
    item = SendOut("S1", "V1", lead=ticks(200))
    made = plan([task("a")], vendors=[VENDOR], send_outs=[item])
    assert checks(made)["long_tasks"].count == 0


def test_task_outside_every_zone_is_named() -> None:
    made = plan([task("a", zone="tail"), task("b")], zones=[Zone("tail")])
    assert named(made, "no_zone") == [("b", "")]


@pytest.mark.parametrize(
    ("fields", "note"),
    [
        ({"after": ("a",), "before": ("b",)}, None),
        ({"after": ("a",)}, "nothing waits for it"),
        ({"before": ("b",)}, "no task frees it"),
        ({"before": ("b",), "status": SendOutStatus(shipped=MONDAY)}, None),
        ({"before": ("b",), "source": Source.IN_HAND, "accept": 1440}, None),
        ({"after": ("gone",), "before": ("b",)}, "no task frees it"),
    ],
)
def test_item_away_is_tied_on_both_sides(fields: dict[str, Any], note: str | None) -> None:
    legs = {"prepare": ticks(1), "lead": ticks(5), **fields}
    tasks = [task("a"), task("b"), task("gone", status=status("dropped"))]
    made = plan(tasks, vendors=[VENDOR], send_outs=[SendOut("S1", "V1", **legs)], as_of=TUESDAY)
    assert named(made, "loose_send_outs") == ([] if note is None else [("S1", note)])
    assert checks(made)["loose_send_outs"].of == 1


def test_item_that_is_back_counts_no_more() -> None:
    back = SendOutStatus(accepted=MONDAY)
    item = SendOut("S1", "V1", lead=ticks(1), status=back)
    made = plan([task("a")], vendors=[VENDOR], send_outs=[item], as_of=TUESDAY)
    assert checks(made)["loose_send_outs"].of == 0


def test_floats_that_promise_too_much_are_found_by_trial(monkeypatch: pytest.MonkeyPatch) -> None:
    from ribstitch.planning.health import trials

    made = plan([task("a", 2), task("b", 9)], [link("a", "b")])
    assert checks(made)["slip_moves_finish"].ok
    monkeypatch.setattr(trials, "total_float", lambda *_: np.array([-5, -5]))
    assert [one[0] for one in named(made, "slip_moves_finish")] == ["a"]


# 6. The critical path


def test_index_counts_the_working_days_left_to_the_target() -> None:
    """Ten days of work to Fri 16 January; a target on Wed 14 leaves eight."""
    made = plan([task("a", 10)], project={"target_finish": date(2026, 1, 14)})
    one = checks(made)["path_length_index"]
    assert (one.count, one.of, one.share, one.ok) == (8, 10, 0.8, False)
    assert named(made, "negative_floats") == [("a", "2 days too late")]


@pytest.mark.parametrize("target", [date(1930, 1, 1), date(2199, 12, 31)])
def test_target_in_another_age_still_has_an_index(target: date) -> None:
    """Beyond the calendars that the schedule needs; the days are those that numpy counts."""
    one = checks(plan([task("a", 10)], project={"target_finish": target}))["path_length_index"]
    assert one.count == np.busday_count(MONDAY, target + timedelta(days=1))


def test_step_that_waits_for_a_date_is_named() -> None:
    later = MONDAY + timedelta(days=7)
    tasks = [task("a", not_before=later), task("b")]
    assert named(plan(tasks, [link("a", "b")]), "path_by_date") == [("a", f"waits for {later}")]
    pushed = plan([task("a", 9), task("b", not_before=later)], [link("a", "b")])
    assert named(pushed, "path_by_date") == []


def test_step_whose_start_alone_counts_swallows_its_delay() -> None:
    """b starts with a: of 600 days on a, the 3 that b takes longer than a are lost."""
    made = plan([task("a", 2), task("b", 5)], [link("a", "b", "SS")])
    assert named(made, "path_absorbs_delay") == [
        ("a", "600 days more on it move the finish by 597 days")
    ]


def test_vendor_with_another_calendar_swallows_nothing() -> None:
    """The finish moves by another number of shop days, and yet the chain is whole."""
    away = Calendar("away", closed=((date(2026, 8, 1), date(2028, 8, 31)),))
    item = SendOut("S1", "V1", after=("a",), before=("b",), lead=ticks(20), ship_out=ticks(2))
    made = plan(
        [task("a", 3), task("b", 4)],
        calendars=[SHOP, away],
        vendors=[Vendor("V1", calendar="away")],
        send_outs=[item],
    )
    one = checks(made)["path_absorbs_delay"]
    assert (one.count, one.of) == (0, 4)


@examples(60)
@given(plans(max_tasks=10, deadlines=False))
def test_trial_agrees_with_scheduling_again_where_one_calendar_serves(drawn: Plan) -> None:
    """On elapsed time alone, 600 days on a whole step move the finish by exactly 600."""
    made = replace(
        drawn,
        calendars=(Calendar("shop", elapsed=True),),
        project=replace(drawn.project, calendar="shop"),
        tasks=tuple(replace(one, calendar="shop") for one in drawn.tasks),
        vendors=tuple(replace(one, calendar="shop") for one in drawn.vendors),
    )
    result = schedule(made)
    lost = {}
    for number in result.critical_path:
        one = result.activities[number]
        late = schedule(made, delays={one.id: ticks(600)})
        moved = late.project_finish - result.project_finish
        if one.work and moved != ticks(600):
            lost[one.id] = f"600 days more on it move the finish by {in_days(moved / 1440)}"
    trial = checks(made)["path_absorbs_delay"]
    assert {one.id: one.note for one in trial.offenders} == lost


# 7. What can wait


def test_forty_four_days_to_spare_are_not_large_yet() -> None:
    made = plan([task("a", 50), task("b", 6), task("c", 5), task("d", 1)])
    assert named(made, "large_floats") == [("d", "49 days to spare"), ("c", "45 days to spare")]


def test_missed_deadline_makes_a_float_negative() -> None:
    tasks = [task("a", 5, deadline=MONDAY), task("b", 9)]
    assert named(plan(tasks), "negative_floats") == [("a", "4 days too late")]


def test_target_beyond_the_finish_gives_no_float_away() -> None:
    made = plan([task("a", 5)], project={"target_finish": date(2027, 1, 1)})
    assert checks(made)["large_floats"].count == 0


# 8. and 9.


def test_task_without_a_range_counts_as_certain() -> None:
    tasks = [task("a"), task("b", duration_range=(ticks(1), ticks(1), ticks(4)))]
    one = checks(plan(tasks))["no_range"]
    assert ([who.id for who in one.offenders], one.ok) == (["a"], None)


def test_dates_on_the_wrong_side_of_the_as_of_date_would_be_found() -> None:
    """No plan that is accepted has any, so the schedule is bent by hand."""
    done = status("done", started=MONDAY, finished=MONDAY)
    result = schedule(plan([task("a", status=done), task("b")], as_of=TUESDAY))
    bent = replace(result, begin=result.begin - ticks(1))
    found = {one.rule.id: one for one in assess(bent)}["dates_out_of_time"]
    assert [(one.id, one.note) for one in found.offenders] == [
        ("b", "planned before the as-of date")
    ]
    early = replace(result.prepared.plan, project=replace(result.prepared.plan.project,
                    as_of=MONDAY - timedelta(days=1)))  # fmt: skip
    ahead = replace(result, prepared=replace(result.prepared, plan=early))
    found = {one.rule.id: one for one in assess(ahead)}["dates_out_of_time"]
    assert ("a", "recorded after the as-of date") in [(one.id, one.note) for one in found.offenders]


def test_task_begun_before_its_turn_is_named() -> None:
    begun = task("b", 3, status=status("in_work", started=MONDAY))
    made = plan([task("a"), begun, task("c")], [link("a", "b"), link("b", "c")], as_of=TUESDAY)
    one = checks(made)["out_of_sequence"]
    assert [(who.id, who.note) for who in one.offenders] == [("b", "begun before a was done")]
    assert (one.count, one.of, one.ok) == (1, 1, None)


# 10. Against the approved plan


def test_late_and_unfinished_tasks_are_late_against_the_approved_plan() -> None:
    approved = finishes_of(schedule(chain("a", "b", "c")))
    assert approved == {
        "a": TUESDAY, "b": TUESDAY + timedelta(days=2), "c": TUESDAY + timedelta(days=6),
    }  # fmt: skip
    late = status("done", started=MONDAY, finished=TUESDAY + timedelta(days=1))
    now = plan(
        [task("a", 2, status=late), task("b", 2), task("c", 2), task("new", 1)],
        as_of=MONDAY + timedelta(days=4),
    )
    found = checks(now, approved)
    missed, index = found["late_against_baseline"], found["execution_index"]
    assert [(one.id, one.note) for one in missed.offenders] == [
        ("a", "due 2026-01-06, finished 2026-01-07"), ("b", "due 2026-01-08, not finished"),
    ]  # fmt: skip
    assert (missed.count, missed.of, index.count, index.of) == (2, 2, 1, 2)
    assert [one.id for one in index.offenders] == ["b"]


def test_without_a_plan_file_the_newest_baseline_is_what_was_approved() -> None:
    older = Baseline("B1", MONDAY, MONDAY, packages=(Package("a", Decimal(1), MONDAY, MONDAY),))
    rent = Package("72", Decimal(9), MONDAY, MONDAY)
    newer = replace(older, id="B2", packages=(Package("b", Decimal(1), MONDAY, MONDAY), rent))
    now = replace(plan([task("a"), task("b")], as_of=TUESDAY), baselines=(older, newer))
    found = checks(now)["late_against_baseline"]
    assert [(one.id, one.note) for one in found.offenders] == [
        ("b", "due 2026-01-05, not finished")
    ]
    assert (found.count, found.of) == (1, 1)


def test_work_done_ahead_raises_the_index_above_one() -> None:
    done = status("done", started=MONDAY, finished=MONDAY)
    now = plan([task("a", status=done), task("b", status=done)], as_of=TUESDAY)
    index = checks(now, {"a": MONDAY, "b": MONDAY + timedelta(days=90)})["execution_index"]
    assert (index.share, index.ok) == (2, True)


# Whatever the plan


def over_crew_by_hand(made: Plan) -> tuple[int, int]:
    """Return days of a trade with too many hours asked, and all on which any is asked."""
    result, calendars = schedule(made), {one.id: WorkDays(one) for one in calendars_of(made)}
    asked: dict[tuple[str, int], Fraction] = defaultdict(Fraction)
    for number, one in enumerate(made.tasks):
        activity = result.activities[number]
        if activity.is_done or activity.dropped or not activity.work or one.milestone:
            continue
        days = calendars[activity.calendar]
        hour = Fraction(days.calendar.day_hours) / 1440
        begin, finish = int(result.begin[number]), int(result.finish[number])
        for ordinal in range(begin // 1440, (finish - 1) // 1440 + 1):
            morning = 1440 * ordinal
            over = min(finish, morning + days.worked(ordinal)) - max(begin, morning)
            if over > 0:
                asked[one.trade or "", ordinal] += one.people * over * hour
    too_many = 0
    for (trade, ordinal), hours in asked.items():
        there = Fraction(0)
        for crew in made.crew:
            if crew.trade == trade:
                days = calendars[crew.calendar or made.project.calendar]
                worked = days.worked(ordinal) * Fraction(days.calendar.day_hours) / 1440
                there += crew.people * worked
        too_many += hours > there
    return too_many, len(asked)


@examples(80)
@given(plans(max_send_outs=0))
def test_hours_too_many_are_those_of_a_plain_count(drawn: Plan) -> None:
    """The other way: date by date, task by task, in exact fractions."""
    made = replace(
        drawn,
        tasks=tuple(
            replace(one, trade=("metal", "wood")[number % 2], people=1 + number % 3)
            for number, one in enumerate(drawn.tasks)
        ),
        crew=(Crew("metal", 3), Crew("wood", 1, "odd"), Crew("wood", 2, "shop")),
    )
    one = checks(made)["over_crew"]
    assert (one.count, one.of) == over_crew_by_hand(made)


@examples(60)
@given(plans())
def test_random_plan_is_judged_without_a_fault_of_its_own(drawn: Plan) -> None:
    """Nothing is counted twice; floats hold; no date is on the wrong side."""
    found = checks(drawn)
    for name, one in found.items():
        assert name == one.rule.id
        if not one.rule.at_least:
            assert 0 <= one.count <= one.of
    assert found["slip_moves_finish"].count == 0
    assert found["dates_out_of_time"].count == 0
