"""What waits for what by the shop's own word: stated links, milestones, the order of the crew."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from itertools import pairwise

from ribstitch.planning.drafting import Job
from ribstitch.planning.model import Link, link_key
from ribstitch.seeding.csv_rows import rows

Pair = tuple[str, str]

PLATING_LAG_DAYS = 21
"""Elapsed days between sorting and receiving the batches that have no send-out of their
own: 1 + 12 + 1 working days at the plater, a day on the road each way, a Friday."""

BATCHES_BY_LAG = ("F59b", "F59c")
"""The batches for which that lag stands."""


def links_by_hand(texts: Mapping[str, str]) -> tuple[Link, ...]:
    """Return the links that the shop wrote down itself, each pair once."""
    return tuple(dict.fromkeys(Link(*pair) for pair in (*_stated(texts), *_milestones(texts))))


def with_lags(links: Sequence[dict[str, object]]) -> list[dict[str, object]]:
    """Return the links of the plan document, with a lag where it stands for a send-out."""
    lags = {link_key(f"{job}.2", f"{job}.3") for job in BATCHES_BY_LAG}
    lag: dict[str, object] = {"lag_days": PLATING_LAG_DAYS, "lag_on": "elapsed"}
    return [
        link | lag if link_key(str(link["from"]), str(link["to"])) in lags else link
        for link in links
    ]


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


def crew_links(
    texts: Mapping[str, str], jobs: Sequence[Job], links: Container[Pair]
) -> list[dict[str, object]]:
    """
    Return the crew links of the plan document: one pair of hands, one thing at a time.

    What `links` tie anyhow is left out.
    """
    trades = {work.id: work.trade for job in jobs for work in job.works}
    found: dict[Pair, dict[str, object]] = {}
    for row in rows(texts["order_of_work"]):
        for before, after in pairwise(row["tasks"].split()):
            if (before, after) in links:
                continue
            names = list(dict.fromkeys(trade for one in (before, after) if (trade := trades[one])))
            found[before, after] = {"from": before, "to": after, "names": names}
    return list(found.values())
