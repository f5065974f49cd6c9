"""Where a send-out is at the as-of date."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from ribstitch.planning.activities import SHIP_LEG, UNAWAITED_LEGS, VENDOR_LEG, Activity
from ribstitch.planning.model import SendOut
from ribstitch.planning.ticks import date_before
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.lookups import vendor_names

IN_SHOP, ACCEPTED, REJECTED, DROPPED = "in shop", "accepted", "rejected", "dropped"
_AT_VENDOR = ("intake", "approval", VENDOR_LEG)


@dataclass(frozen=True, slots=True)
class Stage:
    """Which leg of a send-out is open now."""

    name: str
    """The leg, or ``in shop``, ``accepted``, ``rejected``, ``dropped``."""
    number: int | None
    """The open leg among the activities."""
    since: date | None
    due: date | None

    @property
    def is_away(self) -> bool:
        """Return whether the item is out of the shop."""
        return self.name not in {IN_SHOP, ACCEPTED, REJECTED, DROPPED, "accept"}

    @property
    def is_at_vendor(self) -> bool:
        """Return whether the vendor has the item."""
        return self.name in _AT_VENDOR


def all_legs_of(current: CurrentPlan) -> Mapping[str, list[int]]:
    """Return for each send-out the numbers of its legs, in order."""

    def find() -> dict[str, list[int]]:
        legs: dict[str, list[int]] = {item.id: [] for item in current.plan.send_outs}
        for number, one in enumerate(current.schedule.activities):
            if one.send_out is not None:
                legs[one.send_out].append(number)
        return legs

    return current.derived("all_legs", find)


def legs_of(current: CurrentPlan) -> Mapping[str, list[int]]:
    """Return for each send-out the numbers of the legs that the shop waits for, in order."""

    def find() -> dict[str, list[int]]:
        activities, all_legs = current.schedule.activities, all_legs_of(current)
        return {
            item.id: [
                number
                for number in all_legs[item.id]
                if activities[number].leg not in UNAWAITED_LEGS[item.source]
            ]
            for item in current.plan.send_outs
        }

    return current.derived("legs", find)


def stage_of(current: CurrentPlan, item: SendOut) -> Stage:
    """Return where a send-out is."""
    if item.dropped:
        return Stage(DROPPED, None, None, None)
    if item.status.rejected is not None:
        return Stage(REJECTED, None, item.status.rejected, None)
    activities = current.schedule.activities
    still_open = [one for one in legs_of(current)[item.id] if not activities[one].is_done]
    if not still_open:
        return Stage(ACCEPTED, None, item.status.accepted, None)
    number = still_open[0]
    leg = activities[number]
    name = IN_SHOP if _is_in_shop(leg) else leg.leg or ""
    since = None if leg.started is None else date_before(leg.started)
    due = current.schedule.finish_on_of(number)
    if leg.leg == VENDOR_LEG and item.status.promised is not None:
        due = item.status.promised
    return Stage(name, number, since, due)


def _is_in_shop(leg: Activity) -> bool:
    """Return whether an item whose open leg this is has not left yet."""
    return leg.leg == "prepare" or (leg.leg == SHIP_LEG and not leg.is_under_way)


def place_words(current: CurrentPlan, item: SendOut) -> str:
    """Say where an item is and until when, as in ``at Somebody until 2027-01-29 (promised)``."""
    stage = stage_of(current, item)
    vendor = vendor_names(current)[item.vendor]
    basis = "promised" if stage.due == item.status.promised else "forecast"
    until = f"until {stage.due} ({basis})"
    match stage.name:
        case "in shop":
            gate = current.schedule.prepared.expansion.open_legs[item.id].gate
            back = current.schedule.finish_on_of(current.schedule.number(gate))
            return f"not shipped to {vendor} yet, back {back} (forecast)"
        case "approval":
            return f"at {vendor}, its price waits for a yes {until}"
        case "intake" | "vendor_work":
            return f"at {vendor} {until}"
        case "ship_out" | "customs_out":
            return f"on its way to {vendor} {until}"
        case "ship_back" | "customs_back":
            return f"on its way back {until}"
        case "accept":
            return f"back, to be accepted by {stage.due}"
        case name:
            return name
