"""The board of what is away: stage, grace, how long overdue or silent, whom to chase."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from ribstitch.planning.model import (
    Calendar,
    Contact,
    PastJob,
    Plan,
    Project,
    SendOut,
    SendOutStatus,
    Source,
    Vendor,
)
from ribstitch.services.views.away import Away, BoardLine, away, board_line
from ribstitch.store import UnknownThingError
from tests.services.views.plans import current_of, hangar
from tests.store.plans import DAY


def board(*items: SendOut, as_of: date = date(2026, 1, 9)) -> Away:
    """Return the board of the hangar with these send-outs, on another date."""
    plan = hangar()
    project = replace(plan.project, as_of=as_of)
    return away(current_of(replace(plan, project=project, send_outs=items)))


def engine(status: SendOutStatus, *contacts: Contact, **legs: Any) -> SendOut:
    """Return the engine with other dates."""
    item = hangar().send_outs[0]
    return replace(item, status=status, contacts=contacts, **legs)


def line(status: SendOutStatus, as_of: date = date(2026, 1, 9), **legs: Any) -> BoardLine:
    """Return the line of the engine with these dates."""
    return board(engine(status, **legs), as_of=as_of).send_outs[0]


def test_line_tells_where_the_item_is_and_when_it_comes() -> None:
    """Promised for Fri 30 January, two days back, accepted on Mon 2 February."""
    seen = board_line(current_of(hangar()), "S1")
    assert (seen.stage, seen.stage_since) == ("vendor_work", date(2026, 1, 6))
    assert seen.stage_due == seen.promised == date(2026, 1, 30)
    assert seen.expected_back == date(2026, 2, 2)
    assert (seen.vendor_name, seen.lead_days, seen.at_vendor_days) == ("Fin Works", 10, 3)
    assert (seen.overdue_days, seen.silent_days) == (0, 1)


def test_a_line_has_all_legs_in_order_and_the_zone_that_the_item_belongs_to() -> None:
    """Out since Mon 5 January; ten days from the 6th, promised for the 30th, then two days back."""
    seen = board_line(current_of(hangar()), "S1")
    assert [(one.leg, one.state) for one in seen.legs] == [
        ("prepare", "done"), ("ship_out", "done"), ("vendor_work", "in_work"),
        ("ship_back", "not_started"), ("accept", "not_started"),
    ]  # fmt: skip
    assert [one.finish for one in seen.legs[1:3]] == [date(2026, 1, 6), date(2026, 1, 30)]
    assert seen.legs[-1].finish == seen.expected_back
    assert seen.zone == "nose"
    assert board(replace(hangar().send_outs[0], before=(), after=())).send_outs[0].zone is None


def test_item_that_sets_the_finish_has_no_grace_and_is_critical() -> None:
    """After it comes only the hanging; nothing else takes as long."""
    seen = board_line(current_of(hangar()), "S1")
    assert (seen.grace_days, seen.critical) == (0, True)
    assert seen.need_by == date(2026, 2, 2)
    assert seen.last_safe_ship is None


@pytest.mark.parametrize(
    ("status", "stage"),
    [
        (SendOutStatus(), "in shop"),
        (SendOutStatus(shipped=date(2026, 1, 5)), "ship_out"),
        (SendOutStatus(arrived=date(2026, 1, 5)), "vendor_work"),
        (SendOutStatus(left_vendor=date(2026, 1, 7)), "ship_back"),
        (SendOutStatus(received=date(2026, 1, 7)), "accept"),
        (SendOutStatus(accepted=date(2026, 1, 7)), "accepted"),
    ],
)
def test_stage_follows_the_dates(status: SendOutStatus, stage: str) -> None:
    assert line(status).stage == stage


def test_accepted_item_has_no_forecast_any_more() -> None:
    seen = line(SendOutStatus(accepted=date(2026, 1, 7)))
    assert (seen.expected_back, seen.grace_days, seen.need_by) == (None, None, None)
    assert (seen.stage_since, seen.critical) == (date(2026, 1, 7), False)


def test_item_in_the_shop_has_a_last_safe_date_to_ship() -> None:
    """It sets the finish: it must be prepared today."""
    seen = line(SendOutStatus())
    assert seen.last_safe_ship == date(2026, 1, 9)
    assert (seen.at_vendor_days, seen.silent_days, seen.overdue_days) == (None, None, 0)


def test_broken_promise_is_counted_in_calendar_days() -> None:
    seen = line(
        SendOutStatus(arrived=date(2026, 1, 6), promised=date(2026, 1, 16)), date(2026, 1, 26)
    )
    assert seen.overdue_days == 10
    assert seen.stage_due == date(2026, 1, 16)


def test_without_a_promise_the_quoted_time_counts() -> None:
    """Ten working days from Wed 7 January end on Tue 20; by Fri 23 that is three days over."""
    seen = line(SendOutStatus(arrived=date(2026, 1, 6)), date(2026, 1, 23))
    assert seen.overdue_days == 3
    assert line(SendOutStatus(arrived=date(2026, 1, 6)), date(2026, 1, 20)).overdue_days == 0


def test_item_lost_on_the_road_is_overdue() -> None:
    """Shipped on the 5th, two days on the road: due on the 7th."""
    assert line(SendOutStatus(shipped=date(2026, 1, 5)), date(2026, 1, 19)).overdue_days == 12


def test_pattern_of_an_item_counts_as_away_too() -> None:
    seen = line(SendOutStatus(shipped=date(2026, 1, 5)), source=Source.PATTERN)
    assert (seen.source, seen.stage) == (Source.PATTERN, "ship_out")


def test_dropped_item_is_off_the_board() -> None:
    assert board(engine(SendOutStatus(), dropped=True)).send_outs == []


def test_chase_list_takes_least_grace_first_then_overdue_then_silent() -> None:
    """S2 and S3 have the same grace and S2 was silent for longer; S4 has more grace."""
    silent = SendOutStatus(arrived=date(2026, 1, 6))
    heard = Contact(date(2026, 1, 8), "soon")
    promised = replace(silent, promised=date(2026, 3, 2))
    seen = board(
        SendOut("S4", "V2", "Lamp", lead=2 * DAY, status=silent),
        SendOut("S3", "V2", "Trim", lead=20 * DAY, status=silent, contacts=(heard,)),
        SendOut("S2", "V2", "Seats", lead=20 * DAY, status=silent),
        engine(promised, Contact(date(2026, 1, 20), "soon")),
        as_of=date(2026, 1, 30),
    )
    assert [one.send_out for one in seen.chase] == ["S1", "S2", "S3", "S4"]
    assert (
        seen.chase[0].why == "Engine: no word for 10 days; 0 days to spare, needed by 2026-03-05."
    )
    assert seen.chase[0].last_contact == date(2026, 1, 20)
    assert "no word for 24 days" in seen.chase[1].why
    assert "22 days overdue; no word for 24 days" in seen.chase[3].why


def test_nobody_is_chased_who_is_in_time_and_was_heard_of() -> None:
    seen = board(
        engine(SendOutStatus(accepted=date(2026, 1, 7))),
        SendOut("S2", "V2", lead=DAY, status=SendOutStatus(arrived=date(2026, 1, 8))),
        as_of=date(2026, 1, 9),
    )
    assert seen.chase == []


def test_pattern_that_should_be_back_is_chased_until_it_goes_out_again() -> None:
    left = SendOutStatus(arrived=date(2026, 1, 5), left_vendor=date(2026, 1, 6))
    lent = engine(
        replace(left, received=date(2026, 1, 7), accepted=date(2026, 1, 7)),
        source=Source.PATTERN,
        return_leg=2 * DAY,
    )
    (chased,) = board(lent, as_of=date(2026, 1, 12)).chase
    assert chased.why == "Engine: the pattern should have been back on 2026-01-08."
    back = replace(lent, status=replace(lent.status, returned=date(2026, 1, 8)))
    assert board(back, as_of=date(2026, 1, 12)).chase == []
    refused = replace(left, received=date(2026, 1, 7), rejected=date(2026, 1, 8))
    again = SendOut("S1/2", "V1", trip_of="S1", lead=9 * DAY)
    trips = replace(lent, status=refused), again
    assert [one.send_out for one in board(*trips, as_of=date(2026, 1, 12)).chase] == []


def test_vendor_line_sums_up_history_and_open_items() -> None:
    jobs = (PastJob("engine", 10, 12), PastJob("engine", 10, 20), PastJob("engine", 10, 13))
    plan = hangar(vendors=(Vendor("V1", "Fin Works", country="CZ", history=jobs), Vendor("V2")))
    first, second = away(current_of(plan)).vendors
    assert (first.open, first.history_count, first.median_ratio) == (["S1"], 3, 1.3)
    assert (first.grace_days, first.country) == (0, "CZ")
    assert (second.open, second.median_ratio, second.grace_days) == ([], None, None)


def test_unknown_item_is_named() -> None:
    with pytest.raises(UnknownThingError, match='no send-out "S9"'):
        board_line(current_of(hangar()), "S9")


def test_plan_without_send_outs_has_an_empty_board() -> None:
    seen = away(current_of(Plan(Project(date(2026, 1, 5), date(2026, 1, 5)), (Calendar("shop"),))))
    assert (seen.send_outs, seen.vendors, seen.chase) == ([], [], [])
