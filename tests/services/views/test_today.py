"""The daily sheet says what can be worked on now, and what the rest waits for."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from ribstitch.planning.model import (
    CrewLink,
    CrewLinkKind,
    LagOn,
    Link,
    Milestone,
    Place,
    Relation,
    SendOut,
    SendOutStatus,
    State,
    Task,
    TaskStatus,
)
from ribstitch.services.hazards import STANDING_LINE
from ribstitch.services.views.away import away
from ribstitch.services.views.task_card import task_card
from ribstitch.services.views.today import Today, today
from ribstitch.services.views.waiting import WaitsFor
from tests.services.views.plans import current_of, hangar, with_task
from tests.store.plans import DAY


def sheet(**changes: object) -> Today:
    """Return the sheet of the hangar."""
    return today(current_of(hangar(**changes)))


def ids(cards: object) -> list[str]:
    """Return the ids of cards."""
    return [card.id for card in cards]  # type: ignore[attr-defined]


def test_work_is_sorted_by_how_it_stands() -> None:
    seen = sheet()
    assert ids(seen.ready) == ["sweep", "skin"]
    assert ids(seen.in_work) == ["frame"]
    assert ids(seen.held) == ["seats"]
    assert [waiting.task.id for waiting in seen.waiting_soon] == ["cover"]
    assert ids(seen.done_recently) == ["survey"]


def test_work_of_people_who_are_not_in_today_can_be_begun_all_the_same() -> None:
    """As of a Friday, weekend work stands on the sheet: nothing keeps it from being begun."""
    (sweep,) = (card for card in sheet().ready if card.id == "sweep")
    assert sweep.start == date(2026, 1, 10)
    assert sweep.why.startswith("Can be begun.")


def test_what_protects_the_finish_stands_first() -> None:
    """All can be begun; the one on which the flight hangs without float comes first."""
    plan = hangar()
    long = Task("long", 40 * DAY, "Long", trade="metal")
    plan = replace(plan, tasks=(*plan.tasks, long), links=(*plan.links, Link("long", "flight")))
    seen = today(current_of(plan))
    assert ids(seen.ready) == ["long", "sweep", "skin"]
    assert seen.ready[0].critical
    assert seen.ready[0].why == "Can be begun. A day lost here is a day lost at the finish."


def test_what_waits_stands_in_the_order_in_which_it_can_begin() -> None:
    """The flight hangs on the later one, which is dated; the other has a year to spare."""
    plan = hangar()
    tasks = [
        Task(key, days * DAY, key, trade="metal", not_before=date(2026, 1, day))
        for key, days, day in (("late", 40, 15), ("soon", 1, 14))
    ]
    plan = replace(plan, tasks=(*plan.tasks, *tasks), links=(*plan.links, Link("late", "flight")))
    waiting = [one.task.id for one in today(current_of(plan)).waiting_soon]
    assert [one for one in waiting if one in ("late", "soon")] == ["soon", "late"]


def test_waiting_work_says_for_what_and_who_must_act() -> None:
    """The frame has two days left from Fri 9: it is finished on Mon 12."""
    (waiting,) = sheet().waiting_soon
    assert waiting.waits_for == [WaitsFor("frame", "Frame", "Metalworker 1")]
    assert waiting.task.why == "Waits for Frame (frame), in work until 2026-01-12."


def test_crew_link_is_named_as_people_who_are_busy() -> None:
    """The skin could be begun, but the metalworker is at the frame."""
    plan = hangar(crew_links=(CrewLink("frame", "skin", names=("metal",)),))
    seen = today(current_of(plan))
    (waiting,) = (one for one in seen.waiting_soon if one.task.id == "skin")
    assert waiting.waits_for == [WaitsFor("frame", "the metalworker, who first does Frame", "")]
    assert waiting.task.why == (
        "Waits for the metalworker, who first does Frame (frame), in work until 2026-01-12."
    )


def test_place_that_is_taken_is_named_and_so_is_who_is_in_it() -> None:
    jig = Place("jig", name="Tail jig")
    link = CrewLink("frame", "skin", CrewLinkKind.PLACE, ("jig",))
    seen = today(current_of(hangar(crew_links=(link,), places=(jig,))))
    (waiting,) = (one for one in seen.waiting_soon if one.task.id == "skin")
    assert waiting.waits_for == [
        WaitsFor("frame", "the Tail jig, where first comes Frame", "Metalworker 1")
    ]


def test_work_that_needs_the_other_first_waits_for_that_and_not_for_its_people() -> None:
    """The cover hangs on the frame anyway: that it has the same people says nothing more."""
    plan = hangar(crew_links=(CrewLink("frame", "cover", names=("fabric",)),))
    card = task_card(current_of(plan), "cover")
    assert card.why == "Waits for Frame (frame), in work until 2026-01-12."


def test_item_that_is_away_is_named_with_vendor_and_promise() -> None:
    card = task_card(current_of(hangar()), "hang")
    assert card.why == "Waits for Engine: at Fin Works until 2026-01-30 (promised)."


def test_item_in_its_other_stages_is_named_too() -> None:
    stages = {
        SendOutStatus(): "not shipped to Fin Works yet, back 2026-01-26 (forecast)",
        SendOutStatus(shipped=date(2026, 1, 8)): (
            "on its way to Fin Works until 2026-01-10 (forecast)"
        ),
        SendOutStatus(left_vendor=date(2026, 1, 8)): "on its way back until 2026-01-10 (forecast)",
        SendOutStatus(received=date(2026, 1, 8)): "back, to be accepted by 2026-01-09",
    }
    for status, words in stages.items():
        plan = hangar()
        items = (replace(plan.send_outs[0], status=status),)
        card = task_card(current_of(replace(plan, send_outs=items)), "hang")
        assert card.why == f"Waits for Engine: {words}."


def test_price_that_waits_for_a_yes_is_the_owners_turn() -> None:
    plan = hangar()
    item = replace(
        plan.send_outs[0],
        intake=DAY,
        approval=3 * DAY,
        lead=2 * DAY,
        status=SendOutStatus(quoted=date(2026, 1, 8)),
    )
    seen = today(current_of(replace(plan, send_outs=(item,))))
    (waiting,) = (one for one in seen.waiting_soon if one.task.id == "hang")
    assert waiting.waits_for == [WaitsFor("S1/accept", "Engine: receive and accept", "the owner")]


def test_milestone_passes_on_what_it_waits_for() -> None:
    """Between frame and cover stands a milestone: the cover still waits for the frame."""
    plan = hangar()
    framed = Task("framed", 0, "Framed", milestone=Milestone.FINISH)
    links = (Link("frame", "framed"), Link("framed", "cover"), Link("hang", "flight"))
    seen = today(current_of(replace(plan, tasks=(*plan.tasks, framed), links=links)))
    (waiting,) = (one for one in seen.waiting_soon if one.task.id == "cover")
    assert waiting.waits_for == [WaitsFor("frame", "Frame", "Metalworker 1")]


def test_milestone_with_nothing_left_before_it_keeps_nobody_waiting() -> None:
    plan = hangar()
    surveyed = Task("surveyed", 0, "Surveyed", milestone=Milestone.FINISH)
    links = (Link("survey", "surveyed"), Link("surveyed", "cover"))
    seen = today(current_of(replace(plan, tasks=(*plan.tasks, surveyed), links=links)))
    assert "cover" in ids(seen.ready)


def test_drying_keeps_the_next_task_waiting() -> None:
    """The survey ended on the 7th; five elapsed days after it end with the 12th."""
    links = (Link("survey", "skin", lag=5 * DAY, lag_on=LagOn.ELAPSED),)
    seen = sheet(links=links)
    (waiting,) = (one for one in seen.waiting_soon if one.task.id == "skin")
    assert waiting.task.why == "Waits for the time after Survey (survey), until 2026-01-13."
    assert waiting.waits_for[0].who == "time"


def test_start_link_keeps_waiting_until_the_other_has_begun() -> None:
    links = (Link("skin", "cover", Relation.START_START),)
    (waiting,) = (one for one in sheet(links=links).waiting_soon if one.task.id == "cover")
    assert waiting.waits_for == [WaitsFor("skin", "Skin", "Metalworker 1")]
    begun = hangar(links=links)
    tasks = with_task(
        begun,
        replace(begun.tasks[3], status=TaskStatus(State.IN_WORK, date(2026, 1, 8), remaining=DAY)),
    )
    assert "cover" in ids(today(current_of(replace(begun, tasks=tasks))).ready)


def test_not_before_keeps_a_task_off_the_sheet_until_its_date() -> None:
    plan = hangar()
    tasks = with_task(plan, replace(plan.tasks[3], not_before=date(2026, 1, 14)))
    seen = today(current_of(replace(plan, tasks=tasks)))
    assert "skin" not in ids(seen.ready)
    (waiting,) = (one for one in seen.waiting_soon if one.task.id == "skin")
    assert waiting.waits_for == [WaitsFor("skin", "not before 2026-01-14", "the calendar")]
    assert waiting.task.why == "Not before 2026-01-14."


def test_work_that_is_far_off_is_left_out() -> None:
    """Hanging the engine begins after the promise of 30 January: not within two weeks."""
    assert "hang" not in {waiting.task.id for waiting in sheet().waiting_soon}


def test_held_and_running_work_says_how_it_stands() -> None:
    """The seats have until the finish; the frame is out of float only with the cover."""
    seen = sheet()
    assert seen.held[0].why.startswith("Held: no cloth. It can wait ")
    assert seen.in_work[0].why.startswith("In work since 2026-01-08, 2 days left. It can wait ")
    assert seen.done_recently[0].why == "Done on 2026-01-07."


def test_sheet_can_be_cut_down_to_a_trade_or_a_zone() -> None:
    current = current_of(hangar())
    assert ids(today(current, trade="help").ready) == ["sweep"]
    assert ids(today(current, trade="fabric").in_work) == []
    assert ids(today(current, zone="tail").ready) == ["skin"]
    assert ids(today(current, zone="nose").held) == ["seats"]


def test_trades_with_work_left_are_those_of_the_crew_first() -> None:
    plan = hangar()
    more = replace(plan, tasks=(*plan.tasks, Task("wire", DAY, trade="elec")))
    assert today(current_of(more)).trades == ["metal", "fabric", "help", "elec"]


def test_cautions_of_all_work_on_the_sheet_are_printed_with_the_standing_line() -> None:
    """The cover (dope) only waits, but the skin on the sheet is doped too."""
    seen = sheet()
    assert list(seen.hazards) == ["dope", "noise"]
    assert "ear protection" in seen.hazards["noise"].caution
    assert "29 CFR 1910.95" in seen.hazards["noise"].source
    assert seen.standing_line == STANDING_LINE


def test_item_on_its_way_home_is_announced() -> None:
    """Left on the 8th, two days on the road: here on the 10th, whatever day that is."""
    plan = hangar()
    items = (replace(plan.send_outs[0], status=SendOutStatus(left_vendor=date(2026, 1, 8))),)
    (arriving,) = today(current_of(replace(plan, send_outs=items))).arriving
    assert (arriving.send_out, arriving.on, arriving.overdue_days) == ("S1", date(2026, 1, 10), 0)
    assert sheet().arriving == []


def test_item_that_should_leave_is_announced_with_how_late_it_is() -> None:
    """Prepared and shipped today; its work sets the finish, so that yesterday was the last day."""
    plan = hangar()
    first = replace(plan.send_outs[0], status=SendOutStatus(), contacts=())
    other = SendOut("S2", "V2", "Seat covers", after=("hang",), prepare=DAY, lead=DAY)
    seen = today(current_of(replace(plan, send_outs=(first, other))))
    (leaving,) = seen.leaving
    assert (leaving.send_out, leaving.on, leaving.overdue_days) == ("S1", date(2026, 1, 9), 0)


def test_what_was_finished_today_keeps_nothing_waiting() -> None:
    """The plan counts on the next task from tomorrow, but the floor may go on at once."""
    plan = hangar()
    today_on = plan.project.as_of
    frame = next(task for task in plan.tasks if task.id == "frame")
    over = replace(frame, status=TaskStatus(State.DONE, today_on, today_on))
    at_once = replace(plan, tasks=with_task(plan, over))
    drying = Link("frame", "cover", lag=2 * DAY, lag_on=LagOn.ELAPSED)
    later = replace(at_once, links=(*plan.links, drying))
    assert "cover" in ids(today(current_of(at_once)).ready)
    assert "cover" not in ids(today(current_of(later)).ready)


def test_everything_that_a_call_may_be_about_says_where_it_is_due_or_not() -> None:
    """The engine is in time and nobody is due a call; what was dropped is left out."""
    plan = hangar()
    (engine,) = plan.send_outs
    gone = SendOut("S2", "V2", "Lamp", lead=DAY, dropped=True)
    current = current_of(replace(plan, send_outs=(engine, gone)))
    seen = today(current)
    (item,) = seen.chased_items
    assert (item.id, item.name, item.vendor_name) == ("S1", "Engine", "Fin Works")
    assert item.stage == away(current).send_outs[0].stage
    assert item.silent_days == away(current).send_outs[0].silent_days
    assert seen.plan_version == current.plan_version
