"""A cost line keeps what it was, as it goes from an estimate to a payment."""

from __future__ import annotations

from dataclasses import replace

from ribstitch.planning.model import Cost, CostStep

_ORDER = ("estimate", "quoted", "ordered", "invoiced", "paid")


def with_earlier_states(before: Cost, after: Cost) -> Cost:
    """
    Return a cost line that came to another state, with what it was kept as an earlier one.

    A line that goes back a state was taken further by mistake: the states from there on
    are forgotten. Earlier states that were entered with the edit stand as they were
    entered.
    """
    if after.state == before.state or after.earlier != before.earlier:
        return after
    step = CostStep(before.state, before.amount, before.on, before.document)
    place = _ORDER.index(after.state)
    kept = tuple(one for one in (*before.earlier, step) if _ORDER.index(one.state) < place)
    return replace(after, earlier=kept)
