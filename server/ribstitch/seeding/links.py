"""What waits for what: within cards, between cards, and in the order of the crew."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from ribstitch.seeding.jobs import BATCH_CARD, OPENING_CARD, Job
from ribstitch.seeding.method_cards import rows

Pair = tuple[str, str]

EVERYWHERE = ("whole", "systems")
"""Zones that reach into every other zone."""

DISMANTLING = "M03"

STEP_RULES = {("M09", "M10"): ((2, 1), (4, 2))}
"""Where one card is worked inside another: the spar is spliced in the opened-up wing, so
its stock is chosen once the survey is done and cut once the reglued joints have cured."""

PLATING_LAG_DAYS = 21
"""Elapsed days between sorting and receiving the batches that have no send-out of their
own: 1 + 12 + 1 working days at the plater, a day on the road each way, a Friday."""


def plan_links(texts: Mapping[str, str], jobs: Sequence[Job]) -> list[dict[str, object]]:
    """Return the links of the plan document, each pair once, in a steady order."""
    tasks = {work.id for job in jobs for work in job.works}
    marks = {row["ref"] for row in rows(texts["milestones"])}
    pairs: dict[Pair, dict[str, object]] = {}
    for pair in [
        *_within_cards(jobs),
        *_to_findings(jobs),
        *_between_cards(jobs),
        *_stated(texts),
        *_milestones(texts),
    ]:
        if not set(pair) <= tasks | marks:
            raise KeyError(f"a link between {pair[0]} and {pair[1]} names an unknown task")
        pairs.setdefault(pair, {"from": pair[0], "to": pair[1]})
    for job in jobs:
        if job.card is not None and job.card.id == BATCH_CARD and not job.id.endswith("a"):
            pairs[f"{job.id}.2", f"{job.id}.3"] |= {
                "lag_days": PLATING_LAG_DAYS,
                "lag_on": "elapsed",
            }
    return list(pairs.values())


def _within_cards(jobs: Sequence[Job]) -> Iterator[Pair]:
    """Steps follow the steps their card names."""
    for job in jobs:
        for work in job.works:
            for number in work.step.after if work.step else ():
                yield f"{job.id}.{number}", work.id


def _to_findings(jobs: Sequence[Job]) -> Iterator[Pair]:
    """Every finding waits for the dismantling and for its zone to be opened up."""
    dismantling = next(job for job in jobs if job.id == DISMANTLING)
    opened = {job.zone: job for job in jobs if job.id.startswith(f"{OPENING_CARD}.")}
    for job in jobs:
        if job.finding is None or job.extra:
            continue
        before = opened.get(job.zone, dismantling)
        yield from _job_pairs(before, job)


def _between_cards(jobs: Sequence[Job]) -> Iterator[Pair]:
    """Cards wait for their predecessor cards: in their zone, or everywhere."""
    for job in jobs:
        if job.card is None:
            continue
        for before in jobs:
            if before.card is None or before is job or before.card.id not in job.card.pre_cards:
                continue
            if job.card.driver == "aircraft" or _share_zone(before.zone, job.zone):
                steps = STEP_RULES.get((before.card.id, job.card.id))
                if steps is None:
                    yield from _job_pairs(before, job)
                else:
                    yield from ((f"{before.id}.{a}", f"{job.id}.{b}") for a, b in steps)


def _share_zone(one: str, other: str) -> bool:
    return one == other or one in EVERYWHERE or other in EVERYWHERE


def _job_pairs(before: Job, after: Job) -> Iterator[Pair]:
    for one in before.last:
        for other in after.first:
            yield one, other


def _stated(texts: Mapping[str, str]) -> Iterator[Pair]:
    """Links between tasks that the shop wrote down (those with a send-out stand there)."""
    send_outs = {row["send_out"] for row in rows(texts["send_outs"])}
    for row in rows(texts["extra_links"]):
        if not send_outs & {row["from"], row["to"]}:
            yield row["from"], row["to"]


def _milestones(texts: Mapping[str, str]) -> Iterator[Pair]:
    for row in rows(texts["milestones"]):
        yield from ((before, row["ref"]) for before in row["after"].split())
        yield from ((row["ref"], after) for after in row["before"].split())


def crew_links(texts: Mapping[str, str], jobs: Sequence[Job]) -> list[dict[str, object]]:
    """Return the crew links of the plan document: one pair of hands, one thing at a time."""
    trades = {work.id: work.trade for job in jobs for work in job.works}
    known = {(link["from"], link["to"]) for link in plan_links(texts, jobs)}
    found: dict[Pair, dict[str, object]] = {}
    for row in rows(texts["order_of_work"]):
        for before, after in pairwise(row["tasks"].split()):
            if (before, after) in known:
                continue
            names = list(dict.fromkeys(trade for one in (before, after) if (trade := trades[one])))
            found[before, after] = {"from": before, "to": after, "names": names}
    return list(found.values())
