"""A case: changes applied to a plan.

Applied, they give another `Plan` and perhaps some delays, scheduled like any other, so that
a case can do nothing that the plan could not.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from ribstitch.planning.expediting import take_expedite
from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.planning.whatif import changes as kinds
from ribstitch.planning.whatif import on_send_outs, on_tasks, on_trades
from ribstitch.planning.whatif.changes import Change, ExpediteTaken, SendOutLate, VendorLate
from ribstitch.planning.whatif.one_more_hand import bring_one_more_hand


@dataclass(frozen=True, slots=True)
class Case:
    """A plan with changes applied."""

    plan: Plan
    delays: dict[str, int] = field(default_factory=dict)
    """Activities that take longer. [ticks]"""

    def schedule(self) -> Schedule:
        """Compute the case's schedule."""
        return schedule(self.plan, delays=self.delays)


def apply_changes(plan: Plan, changes: Sequence[Change]) -> Case:
    """
    Apply changes in order.

    Raises
    ------
    PlanError
        If a change names what is not there or can no longer be done; `where` is the
        change's place, as in ``changes[0].vendor``.
    """
    delays: dict[str, int] = {}
    for number, change in enumerate(changes):
        where = f"changes[{number}]"
        match change:
            case VendorLate():
                on_send_outs.delay_vendor(plan, change, delays, where)
            case SendOutLate():
                on_send_outs.delay_send_out(plan, change, delays, where)
            case ExpediteTaken():
                plan = take_expedite(plan, change.expedite, change.days, where)
            case _:
                plan = _CHANGED[type(change)](plan, change, where)
    return Case(plan, delays)


_CHANGED: Mapping[type[Change], Callable[[Plan, Any, str], Plan]] = {
    kinds.VendorSwapped: on_send_outs.swap_vendor,
    kinds.BoughtAsExchange: on_send_outs.buy_exchange,
    kinds.TaskDropped: on_tasks.drop_task,
    kinds.TaskTakes: on_tasks.take_days,
    kinds.TaskNotBefore: on_tasks.keep_until,
    kinds.WaitDropped: on_tasks.drop_wait,
    kinds.RiskSettled: on_tasks.settle_risk,
    kinds.ZoneSlower: on_tasks.slow_zone,
    kinds.TradeSlower: on_tasks.slow_trade,
    kinds.ExtraDays: on_trades.work_extra_days,
    kinds.TradeDays: on_trades.work_weekday,
    kinds.TradeAway: on_trades.send_away,
    kinds.OneMoreHand: bring_one_more_hand,
}
"""What makes each change of the plan itself: given the plan, the change, and its key path."""
