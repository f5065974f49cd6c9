"""What becomes of things when a draft is made anew, set by set, the way one would say it.

The planner knows what it drafted last by digests, and decides thing by thing. Here whole
things are kept, and each rule is a set.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Drawn:
    """A thing in the plan: what it says, whether the shop has begun it, whether it is dropped."""

    says: int
    is_begun: bool = False
    is_dropped: bool = False


def outcome(
    last: Mapping[str, int],
    withdrawn: Mapping[str, int],
    plan: Mapping[str, Drawn],
    draft: Mapping[str, int],
) -> dict[str, str]:
    """
    Return what becomes of each thing that the draft and the plan do not agree on.

    Parameters
    ----------
    last, draft
        What each thing says, as it was drafted last and is drafted now.
    withdrawn
        The same of what the planner dropped before.
    plan
        What is there.
    """
    wanted, there = set(draft), set(plan)
    said = {**last, **withdrawn}
    dropped = {key for key in there if plan[key].is_dropped}
    own = there - set(said)
    as_wanted = {key for key in (there - dropped) & wanted if plan[key].says == draft[key]}
    untouched = {key for key in there & set(said) if plan[key].says == said[key]}
    begun = {key for key in there if plan[key].is_begun}
    found: dict[str, str] = {}
    found |= dict.fromkeys(wanted - there - set(last), "added")
    taken_out = (set(last) - there) | (set(last) & dropped)
    found |= dict.fromkeys(wanted & taken_out, "kept dropped")
    found |= dict.fromkeys(wanted & own - as_wanted, "kept own")
    at_odds = (there & wanted) - own - as_wanted - taken_out
    found |= dict.fromkeys(at_odds - untouched, "kept edited")
    found |= dict.fromkeys((at_odds & untouched) - begun, "changed")
    found |= dict.fromkeys(at_odds & untouched & begun, "kept started")
    unwanted = (there & set(last)) - dropped - wanted
    found |= dict.fromkeys(unwanted - untouched, "kept edited")
    found |= dict.fromkeys((unwanted & untouched) - begun, "dropped")
    found |= dict.fromkeys(unwanted & untouched & begun, "kept started")
    return found
