"""How a finding becomes tasks: small evaluations, their plans reckoned by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from ribstitch.planning.drafting import Assumptions, Drafted, draft_plan, merge, merged
from ribstitch.planning.model import (
    BudgetLine,
    Calendar,
    CardRisk,
    CardStep,
    Check,
    CheckKind,
    Cost,
    Crew,
    Finding,
    Link,
    MethodCard,
    Origin,
    PastJob,
    Place,
    Plan,
    Project,
    SendOutKind,
    SendOutStatus,
    Source,
    StandingJob,
    State,
    StepOrder,
    StepPlace,
    Task,
    TaskStatus,
    Treatment,
    Vendor,
    Zone,
)
from ribstitch.planning.schedule import schedule
from ribstitch.planning.ticks import TICKS_PER_DAY as DAY

START = date(2026, 1, 5)
ASSUMED = Assumptions(hidden_percent={0: 60, 1: 5, 2: 10, 3: 25, 4: 40, 5: 35}, material={"B": 150})


def hours(low: int, likely: int, high: int) -> tuple[Decimal, Decimal, Decimal]:
    return Decimal(low), Decimal(likely), Decimal(high)


def step(number: int, name: str, *after: int, trade: str | None = "metal") -> CardStep:
    return CardStep(number, name, hours(2, 4, 8), trade=trade, after=after)


TAKE_APART = MethodCard("A", "Take apart", "aircraft", (step(1, "Take it apart"),))
OPEN = MethodCard("O", "Open up", "bay", (step(1, "Open"), step(2, "Look", 1)), ("A",))
IN_THE_JIG = StepPlace("jig", ("tail",))
MEND = MethodCard(
    "P", "Mend", "patch",
    (
        CardStep(1, "Cut", hours(2, 4, 8), trade="metal", people=2, places=(IN_THE_JIG,)),
        CardStep(2, "Cure", hours(12, 24, 36), after=(1,)),
        CardStep(3, "Buy-off", hours(1, 2, 4), trade="insp", after=(2,), check=CheckKind.BUY_OFF),
    ),
    ("O",), hazards=("noise",), evidence="photo of the patch", material="B",
    risk=CardRisk("a crack", 0.2, step=1, each_unit=True, hours=hours(8, 8, 8), note="+8 h"),
)  # fmt: skip
COVER = MethodCard("C", "Cover", "wing", (step(1, "Fit"), step(2, "Dope", 1)), ("P",))
PLATE = MethodCard(
    "G", "Plate", "batch", (step(1, "Sort"), step(2, "Count", 1)), ("A",), one_by_one=True,
    leaves_after=1, back_before=2,
)  # fmt: skip
ASSEMBLE = MethodCard("Z", "Assemble", "aircraft", (step(1, "Fit all"),), ("C",))
CARDS = (TAKE_APART, OPEN, MEND, COVER, PLATE, ASSEMBLE)

SHOP = Plan(
    Project(START, START, currency="EUR"),
    calendars=(
        Calendar("shop"),
        Calendar("part-time", day_hours=4.8, week_hours=(4.8, 4.8, 4.8, 0, 0, 0, 0)),
    ),
    zones=(Zone("tail", "Tail"), Zone("wing", "Wing"), Zone("whole", "Whole")),
    kinds=(SendOutKind("plating", 1.1, 1.6, "Plating", quoted_days=15),),
    vendors=(Vendor("V1", "Plating Works"), Vendor("V2", "A shop")),
    crew=(
        Crew("metal", calendar="part-time", label="One"),
        Crew("insp", label="Two"),
    ),
    places=(Place("jig"),),
    cards=CARDS,
    standing_jobs=(
        StandingJob("A", "A", "Dismantling", "whole", "90"),
        StandingJob("O.tail", "O", "Tail bay", "tail", "53", Decimal(2)),
        StandingJob("Z", "Z", "Assembly", "whole", "27"),
    ),
)
FIN = Finding(
    "F1", "Fin dented", "tail", "55", "Fin", grade=3, treatment=Treatment.REPAIR, card="P",
    quantity=Decimal(3),
)  # fmt: skip


def found(*findings: Finding, **changes: object) -> Plan:
    return replace(SHOP, findings=findings, **changes)  # type: ignore[arg-type]


def drafted(*findings: Finding, **changes: object) -> Drafted:
    return draft_plan(found(*findings, **changes), ASSUMED)


def task(draft: Drafted, key: str) -> Task:
    return next(one for one in draft.tasks if one.id == key)


def before(draft: Drafted, key: str) -> set[str]:
    return {one.before for one in draft.links if one.after == key}


def after(draft: Drafted, key: str) -> set[str]:
    return {one.after for one in draft.links if one.before == key}


def test_a_step_becomes_a_task_that_says_what_it_comes_from() -> None:
    """3 patches of 4 h, one metalworker of the two asked for, 4.8 h a day: 2.5 days."""
    cut = task(drafted(FIN), "F1.1")
    assert cut == Task(
        "F1.1", int(2.5 * DAY), "Fin: cut", "tail", "55", "part-time",
        (int(1.25 * DAY), int(2.5 * DAY), 5 * DAY), "metal", 1, ("jig",),
        why="finding F1 (Fin dented), card P, step 1", hazards=("noise",),
        origin=Origin("F1", "F1", "P", 1, Decimal(3)),
    )  # fmt: skip


def test_curing_takes_no_longer_for_more_and_a_check_names_its_evidence() -> None:
    draft = drafted(FIN)
    cure, sign = task(draft, "F1.2"), task(draft, "F1.3")
    assert (cure.duration, cure.calendar, cure.trade) == (DAY, "elapsed", None)
    assert sign.check == Check(CheckKind.BUY_OFF, "photo of the patch")
    assert sign.duration == int(0.75 * DAY), "6 h of 8"


def test_a_place_is_taken_only_in_its_zones_and_only_where_the_shop_has_it() -> None:
    wing = replace(FIN, zone="wing")
    assert task(drafted(wing), "F1.1").places == ()
    assert task(drafted(FIN, places=()), "F1.1").places == ()


def test_a_season_is_kept_where_the_shop_has_one() -> None:
    dry = replace(COVER.steps[1], calendar="dry")
    cards = (*CARDS[:3], replace(COVER, steps=(COVER.steps[0], dry)), *CARDS[4:])
    finding = replace(FIN, card="C")
    assert task(drafted(finding, cards=cards), "F1.2").calendar == "part-time"
    with_season = drafted(finding, cards=cards, calendars=(*SHOP.calendars, Calendar("dry")))
    assert task(with_season, "F1.2").calendar == "dry"
    assert task(with_season, "F1.2").duration == int(1.5 * DAY), "12 h, 8 h a day"


def test_a_trade_stands_on_the_calendar_of_those_who_have_only_that_trade() -> None:
    both = (
        Crew("paint", calendar="part-time", label="One"),
        Crew("metal", calendar="part-time", label="One"),
        Crew("metal", calendar="shop", label="Two"),
    )
    assert task(drafted(FIN, crew=both), "F1.1").calendar == "shop"


def test_work_waits_for_its_zone_else_for_the_dismantling() -> None:
    draft = drafted(FIN, replace(FIN, id="F2", zone="wing"))
    assert before(draft, "O.tail.1") == {"A.1"}
    assert before(draft, "F1.1") == {"O.tail.2"}
    assert before(draft, "F2.1") == {"A.1"}


def test_cards_wait_for_cards_in_their_zone_and_assembly_for_those_everywhere() -> None:
    cover = replace(FIN, id="F2", card="C")
    elsewhere = replace(cover, id="F3", zone="wing")
    everywhere = replace(cover, id="F4", zone=None)
    draft = drafted(FIN, cover, elsewhere, everywhere)
    assert "F1.3" in before(draft, "F2.1")
    assert "F1.3" not in before(draft, "F3.1")
    assert "F1.3" in before(draft, "F4.1")
    assert before(draft, "Z.1") == {"F2.2", "F3.2", "F4.2"}


def test_a_card_for_the_whole_aircraft_waits_for_others_in_any_zone() -> None:
    jobs = (*SHOP.standing_jobs[:2], StandingJob("Z", "Z", "Assembly", "tail"))
    draft = drafted(replace(FIN, card="C", zone="wing"), standing_jobs=jobs)
    assert draft.reasons["F1.2 > Z.1 FS"] == "card Z comes after card C"


def test_a_card_worked_inside_another_is_tied_step_by_step() -> None:
    inside = replace(COVER, inside=(StepOrder("P", 1, 2),))
    draft = drafted(FIN, replace(FIN, id="F2", card="C"), cards=(*CARDS[:3], inside, *CARDS[4:]))
    assert before(draft, "F2.2") == {"F1.1", "F2.1"}
    assert before(draft, "F2.1") == {"O.tail.2"}
    assert after(draft, "F1.3") == {"Z.1"}, "nothing else waits for the buy-off"


def test_what_nothing_waits_for_is_waited_for_by_assembly_and_the_end_by_a_milestone() -> None:
    own = Finding(
        "F5", "Hatch stiff", "wing", treatment=Treatment.REPAIR, own_hours=hours(1, 2, 3),
        own_trade="metal",
    )  # fmt: skip
    draft = drafted(own)
    assert after(draft, "F5") == {"Z.1"}
    assert after(draft, "Z.1") == {"handed_over"}
    assert draft.reasons["F5 > Z.1 FS"] == "Assembly: nothing else waits"
    tied = drafted(own, links=(Link("F5", "somewhere"),))
    assert after(tied, "F5") == set(), "somebody tied it by hand"


def test_work_that_begins_at_several_places_has_one_beginning() -> None:
    two = (*SHOP.standing_jobs, StandingJob("A2", "A", "Papers", "whole"))
    draft = drafted(standing_jobs=two)
    assert after(draft, "work_begins") == {"A.1", "A2.1"}
    assert task(drafted(), "A.1").name == "Dismantling: take it apart"
    assert "work_begins" not in {one.id for one in drafted().tasks}


@pytest.mark.parametrize(
    "finding",
    [
        replace(FIN, treatment=None),
        replace(FIN, dropped=True),
        Finding("F1", "Dents", treatment=Treatment.KEEP),
    ],
)
def test_what_is_not_decided_dropped_or_kept_as_it_is_makes_no_work(finding: Finding) -> None:
    draft = drafted(finding)
    assert not [one for one in draft.tasks if one.origin and one.origin.finding]
    assert draft.problems == ()


def test_a_treatment_without_card_or_hours_is_a_problem_in_one_sentence() -> None:
    (problem,) = drafted(Finding("F1", "Dents", treatment=Treatment.RE_COVER)).problems
    assert problem.finding == "F1"
    assert problem.sentence == (
        "F1 is to be treated (re-cover), but neither a method card nor hours say what work that is."
    )


def test_a_trade_that_nobody_has_is_a_problem_and_its_days_are_the_shops() -> None:
    draft = drafted(FIN, crew=())
    assert {one.sentence.split(" has ")[0] for one in draft.problems} == {"Nobody in the crew"}
    assert task(draft, "F1.1").people == 2
    assert task(draft, "F1.1").duration == int(0.75 * DAY), "12 h, two people, 8 h a day"


def test_units_that_go_one_by_one_are_jobs_of_their_own_each_with_its_send_out() -> None:
    hardware = replace(
        FIN, card="G", quantity=Decimal("2.5"), send_out_kind="plating", send_out="S7"
    )
    draft = drafted(hardware)
    assert [one.id for one in draft.tasks if one.origin and one.origin.finding] == [
        "F1a.1", "F1a.2", "F1b.1", "F1b.2", "F1c.1", "F1c.2",
    ]  # fmt: skip
    assert task(draft, "F1b.1").name == "Fin 2: sort"
    assert task(draft, "F1c.1").origin == Origin("F1c", "F1", "G", 1, Decimal("0.5"))
    around = {one.id: (one.after, one.before) for one in draft.send_outs}
    assert around == {
        "S7": (("F1a.1",), ("F1a.2",)),
        "S7b": (("F1b.1",), ("F1b.2",)),
        "S7c": (("F1c.1",), ("F1c.2",)),
    }


def test_several_findings_leave_in_one_crate() -> None:
    """Own hours of an overhaul come before it leaves, those of a new part once it is here."""
    taken = replace(
        FIN, id="F2", card=None, own_hours=hours(1, 1, 1), own_trade="metal",
        treatment=Treatment.OVERHAUL, send_out_kind="plating", send_out="S1",
    )  # fmt: skip
    fitted = replace(taken, id="F3", treatment=Treatment.REPLACE)
    (item,) = drafted(taken, fitted).send_outs
    assert (item.after, item.before) == (("F2",), ("F3",))
    assert item.name == "Fin"


def test_an_item_for_which_no_task_waits_is_needed_at_assembly() -> None:
    taken = replace(
        FIN, card=None, own_hours=hours(1, 1, 1), own_trade="metal",
        treatment=Treatment.OVERHAUL, send_out_kind="plating",
    )  # fmt: skip
    (item,) = drafted(taken).send_outs
    assert (item.id, item.after, item.before) == ("S-F1", ("F1",), ("Z.1",))


def test_a_new_part_for_which_nothing_leaves_is_ordered_once_the_zone_is_open() -> None:
    new = replace(
        FIN, card=None, own_hours=hours(1, 1, 1), own_trade="metal",
        treatment=Treatment.REPLACE, send_out_kind="plating",
    )  # fmt: skip
    (item,) = drafted(new).send_outs
    assert (item.after, item.before) == (("O.tail.2",), ("F1",))


@pytest.mark.parametrize(
    ("source", "legs"),
    [
        # prepare, road, intake, approval, the vendor's work, road, accept, a pattern's way home
        (Source.OVERHAUL, (1, 3, 5, 7, 15, 3, 1, 0)),
        (Source.PATTERN, (1, 3, 5, 7, 15, 3, 1, 3)),
        (Source.EXCHANGE, (1, 3, 5, 7, 10, 3, 1, 0)),
        (Source.IN_HAND, (0, 0, 0, 0, 0, 0, 1, 0)),
    ],
)
def test_legs_go_by_how_the_item_comes_back(source: Source, legs: tuple[int, ...]) -> None:
    (item,) = drafted(replace(FIN, send_out_kind="plating", source=source)).send_outs
    found = (item.prepare, item.ship_out, item.intake, item.approval, item.lead, item.ship_back,
             item.accept, item.return_leg)  # fmt: skip
    assert tuple(one / DAY for one in found) == legs


def test_the_vendor_with_most_jobs_of_a_kind_is_asked_and_its_quotes_count() -> None:
    """The median of 10, 20 and 24 quoted days."""
    jobs = tuple(PastJob("plating", days, days) for days in (10, 24, 20))
    vendors = (Vendor("V1", "Plating Works"), Vendor("V2", "A shop", history=jobs))
    (item,) = drafted(replace(FIN, send_out_kind="plating"), vendors=vendors).send_outs
    assert (item.vendor, item.lead) == ("V2", 20 * DAY)
    (named,) = drafted(replace(FIN, send_out_kind="plating")).send_outs
    assert named.vendor == "V1", "by its name"


def test_a_kind_that_no_vendor_does_is_a_problem_and_the_work_is_drafted_without() -> None:
    draft = drafted(replace(FIN, send_out_kind="plating"), vendors=())
    assert draft.send_outs == ()
    assert [one.sentence for one in draft.problems] == [
        (
            "F1 is to be sent out (Plating), but no vendor takes that: add one, or say of one that "
            "it does, and draft again."
        )
    ]
    assert task(draft, "F1.1").origin is not None


def test_a_kind_without_usual_days_is_a_problem() -> None:
    kinds = (SendOutKind("plating", 1.1, 1.6),)
    (problem,) = drafted(replace(FIN, send_out_kind="plating"), kinds=kinds).problems
    assert problem.sentence.startswith("plating: nobody knows how many days are usually quoted")


def test_items_of_which_one_waits_for_the_other_cannot_leave_in_one_crate() -> None:
    away = replace(MEND, leaves_after=1, back_before=3)
    later = replace(COVER, leaves_after=1, back_before=2)
    draft = drafted(
        replace(FIN, send_out_kind="plating", send_out="S1"),
        replace(FIN, id="F2", card="C", send_out_kind="plating", send_out="S1"),
        cards=(*CARDS[:2], away, later, *CARDS[4:]),
    )
    assert draft.send_outs == ()
    (problem,) = draft.problems
    assert problem.sentence == (
        "S1: F1, F2 cannot leave in one crate: one of them waits for another to be back. "
        "Give them send-outs of their own."
    )


def test_a_risk_of_each_unit_is_that_of_at_least_one() -> None:
    """1 - 0.8^3 = 0.488; one patch hit at least, 0.6 expected (so one), at most 1.8 (so two)."""
    (risk,) = drafted(FIN).risks
    assert (risk.id, risk.task, risk.probability) == ("R-F1", "F1.1", 0.49)
    days = int(1.75 * DAY)  # 8 h of 4.8 a day, in eighths
    assert risk.impact_range == (days, days, int(3.375 * DAY))
    assert risk.impact_note == "+8 h; on each patch of 3."


def test_material_is_allowed_for_by_class_until_the_shop_has_priced_it() -> None:
    (line,) = drafted(FIN).costs
    assert (line.id, line.amount, line.currency) == ("material-F1", Decimal(450), "EUR")
    assert (line.state, line.chapter, line.task) == ("estimate", "55", "F1.1")
    assert "from memory" in line.name
    own = Cost("C1", Decimal(90), "EUR", kind="material", chapter="55")
    assert drafted(FIN, costs=(own,)).costs == ()
    budget = BudgetLine("55", Decimal(200), "EUR", kind="material")
    assert drafted(FIN, budget=(budget,)).costs == ()


def test_allowances_of_an_earlier_draft_do_not_count_as_the_shops_own() -> None:
    plan = found(FIN)
    once = merged(plan, merge(plan, draft_plan(plan, ASSUMED)))
    assert [one.id for one in draft_plan(once, ASSUMED).costs] == ["material-F1"]


def test_a_zone_hides_what_the_grades_of_its_findings_allow() -> None:
    """18 h at 25 % (12 h cut, 6 h inspected) and 6 h at 60 %: 8.1 of 24 h, 33.75 %."""
    own = replace(FIN, id="F2", grade=0, card=None, own_hours=hours(6, 6, 6), own_trade="metal")
    tail, wing, whole = drafted(FIN, own, replace(own, id="F3", zone="whole")).zones
    assert (tail.hidden_work_percent, tail.opened_by) == (34, "O.tail.2")
    assert (wing.hidden_work_percent, wing.opened_by) == (0, None)
    assert whole.hidden_work_percent == 0


def test_what_was_looked_into_hides_nothing_in_a_zone_without_an_opening() -> None:
    """Two findings of 18 h in the wing: one has begun, its 12 h of cutting are no more to come."""
    plan = found(replace(FIN, zone="wing"), replace(FIN, id="F2", zone="wing"))
    once = merged(plan, merge(plan, draft_plan(plan, ASSUMED)))
    assert once.zones[1].hidden_work_percent == 25
    done = TaskStatus(State.DONE, START, START)
    tasks = tuple(replace(one, status=done) if one.id == "F1.1" else one for one in once.tasks)
    assert draft_plan(replace(once, tasks=tasks), ASSUMED).zones[1].hidden_work_percent == 19


def started(plan: Plan, *keys: str) -> Plan:
    """Return the drafted plan with some tasks done."""
    once = merged(plan, merge(plan, draft_plan(plan, ASSUMED)))
    done = TaskStatus(State.DONE, START, START)
    tasks = tuple(replace(one, status=done) if one.id in keys else one for one in once.tasks)
    return replace(once, tasks=tasks)


def again(plan: Plan) -> Plan:
    return merged(plan, merge(plan, draft_plan(plan, ASSUMED)))


def test_a_dropped_finding_drops_what_has_not_begun_and_keeps_the_order_of_what_has() -> None:
    before = started(found(FIN), "F1.1")
    after = again(replace(before, findings=(replace(FIN, dropped=True),)))
    states = {one.id: one.status.state for one in after.tasks}
    assert [states[f"F1.{number}"] for number in (1, 2, 3)] == [
        State.DONE, State.DROPPED, State.DROPPED,
    ]  # fmt: skip
    chain = {(one.before, one.after) for one in after.links}
    assert chain >= {("O.tail.2", "F1.1"), ("F1.1", "F1.2"), ("F1.2", "F1.3"), ("F1.3", "Z.1")}
    schedule(after)
    unbegun = again(replace(started(found(FIN)), findings=(replace(FIN, dropped=True),)))
    assert not [one for one in unbegun.links if "F1" in one.before + one.after]
    assert not unbegun.risks
    assert not unbegun.costs


def test_a_finding_that_stands_again_brings_its_tasks_back() -> None:
    without = again(replace(started(found(FIN)), findings=(replace(FIN, dropped=True),)))
    back = again(replace(without, findings=(FIN,)))
    assert {one.status.state for one in back.tasks} == {State.NOT_STARTED}
    assert set(back.links) == set(draft_plan(found(FIN), ASSUMED).links)


def test_a_task_that_somebody_dropped_stays_dropped() -> None:
    once = started(found(FIN))
    dropped = TaskStatus(State.DROPPED)
    tasks = tuple(replace(one, status=dropped) if one.id == "F1.2" else one for one in once.tasks)
    result = merge(replace(once, tasks=tasks), draft_plan(once, ASSUMED))
    assert [(one.key, one.what, one.why) for one in result.steps] == [("F1.2", "kept", "dropped")]


def test_more_of_a_finding_lengthens_only_what_has_not_begun() -> None:
    before = started(found(FIN), "F1.1")
    more = replace(before, findings=(replace(FIN, quantity=Decimal(6)),))
    steps = {one.key: (one.what, one.why) for one in merge(more, draft_plan(more, ASSUMED)).steps}
    assert steps["F1.1"] == ("kept", "started")
    assert steps["F1.3"] == ("changed", "")
    now = {one.id: one.duration for one in again(more).tasks}
    assert (now["F1.1"], now["F1.3"]) == (int(2.5 * DAY), int(1.5 * DAY))


def test_an_item_on_its_way_keeps_its_vendor_and_its_legs() -> None:
    plan = found(replace(FIN, send_out_kind="plating"))
    once = again(plan)
    shipped = replace(once.send_outs[0], status=SendOutStatus(shipped=START))
    vendors = (
        Vendor("V1", "Plating Works"),
        Vendor("V3", "x", history=(PastJob("plating", 5, 5),)),
    )
    changed = replace(once, vendors=vendors, send_outs=(shipped,))
    assert again(changed).send_outs == (shipped,)
    assert again(replace(once, vendors=vendors)).send_outs[0].vendor == "V3"


def test_things_that_hang_on_what_was_taken_out_by_hand_are_not_drafted() -> None:
    once = started(found(FIN))
    tasks = tuple(one for one in once.tasks if one.id != "F1.1")
    links = tuple(one for one in once.links if "F1.1" not in (one.before, one.after))
    bare = replace(once, tasks=tasks, links=links, risks=(), costs=())
    assert again(bare).tasks == tasks
    assert again(bare).links == links


def test_nothing_new_is_tied_to_a_task_that_was_taken_out_by_hand() -> None:
    once = started(found(FIN))
    links = tuple(one for one in once.links if "F1.3" not in (one.before, one.after))
    bare = replace(once, tasks=tuple(one for one in once.tasks if one.id != "F1.3"), links=links)
    cover = replace(FIN, id="F2", card="C")
    after = again(replace(bare, findings=(FIN, cover)))
    assert "F2.1" in {one.id for one in after.tasks}
    assert "F1.3" not in {end for one in after.links for end in (one.before, one.after)}


def test_a_task_dropped_by_hand_stays_so_when_its_finding_goes_and_comes_back() -> None:
    once = started(found(FIN))
    dropped = TaskStatus(State.DROPPED)
    tasks = tuple(replace(one, status=dropped) if one.id == "F1.2" else one for one in once.tasks)
    without = again(replace(once, tasks=tasks, findings=(replace(FIN, dropped=True),)))
    back = again(replace(without, findings=(FIN,)))
    states = {one.id: one.status.state for one in back.tasks}
    assert (states["F1.1"], states["F1.2"]) == (State.NOT_STARTED, State.DROPPED)


@pytest.mark.parametrize("state", [State.DROPPED, State.NOT_STARTED])
def test_a_task_made_by_hand_under_a_name_of_the_draft_is_left_alone_with_all_of_its_name(
    state: State,
) -> None:
    mine = Task("F1.2", 5 * DAY, "Ours", status=TaskStatus(state), notes="as we do it")
    plan = found(FIN, tasks=(mine,))
    result = merge(plan, draft_plan(plan, ASSUMED))
    after = merged(plan, result)
    assert [(one.key, one.why) for one in result.steps if one.what == "kept"] == [("F1.2", "own")]
    assert next(one for one in after.tasks if one.id == "F1.2") == mine
    assert "F1.2" not in {end for one in after.links for end in (one.before, one.after)}
    assert again(after) == after


def test_a_task_dropped_by_the_planner_and_edited_since_does_not_stand_again() -> None:
    without = again(replace(started(found(FIN)), findings=(replace(FIN, dropped=True),)))
    renamed = tuple(replace(one, name="Ours") if one.id == "F1.2" else one for one in without.tasks)
    back = again(replace(without, tasks=renamed, findings=(FIN,)))
    states = {one.id: one.status.state for one in back.tasks}
    assert (states["F1.1"], states["F1.2"]) == (State.NOT_STARTED, State.DROPPED)


def test_a_task_that_was_put_back_by_hand_is_not_dropped_again() -> None:
    unwanted = (replace(FIN, dropped=True),)
    without = again(replace(started(found(FIN)), findings=unwanted))
    stands = tuple(
        replace(one, status=TaskStatus()) if one.id == "F1.2" else one for one in without.tasks
    )
    assert again(replace(without, tasks=stands)).tasks == stands


def test_the_same_findings_give_the_same_plan() -> None:
    plan = found(FIN, replace(FIN, id="F2", card="C"))
    assert draft_plan(plan, ASSUMED) == draft_plan(plan, ASSUMED)
