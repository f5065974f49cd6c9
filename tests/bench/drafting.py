"""A thousand findings become a plan, and what that costs beside sorting it.

Run with ``python -m tests.bench.drafting``. The findings are random, on the shipped cards:
any card, zone and quantity, a quarter with hours of their own, half of them sent out. Their
draft, and its merge into the plan (each thing has its digest reckoned), are set beside what a
general-purpose library takes to put the same tasks into an order: networkx builds the graph of
the drafted links and sorts it topologically. Times are those of the processor, the shortest of
several runs. Ends with status 1 if draft and merge together take longer than the limit.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from time import process_time

import networkx as nx

from ribstitch.planning.drafting import Drafted, draft_plan, merge, merged
from ribstitch.seeding import library
from tests.property.drafting_strategies import Evaluation

FINDINGS = 1_000
LIMIT_MS = 2_000.0
RUNS = 5


def fastest(work: Callable[[], object]) -> float:
    """Return the shortest processor time of several runs. [ms]"""
    times = []
    for _ in range(RUNS):
        begun = process_time()
        work()
        times.append(process_time() - begun)
    return 1000 * min(times)


def sort(drafted: Drafted) -> list[str]:
    """Return the drafted tasks in an order that keeps their links, by networkx."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_nodes_from(task.id for task in drafted.tasks)
    graph.add_edges_from((link.before, link.after) for link in drafted.links)
    return list(nx.topological_sort(graph))


def main() -> int:
    """Print the times; return the status."""
    plan = Evaluation("amphibian", FINDINGS, seed=1, has_standing_jobs=True).plan()
    assumed = library.assumptions()
    drafted = draft_plan(plan, assumed)
    first = merged(plan, merge(plan, drafted))
    draft_ms = fastest(lambda: draft_plan(plan, assumed))
    merge_ms = fastest(lambda: merge(plan, drafted))
    again_ms = fastest(lambda: merge(first, draft_plan(first, assumed)))
    sort_ms = fastest(lambda: sort(drafted))
    print(
        f"{FINDINGS:,} findings: {len(drafted.tasks):,} tasks, {len(drafted.links):,} links, "
        f"{len(drafted.send_outs):,} send-outs"
    )
    print(f"draft            {draft_ms:6.0f} ms   {draft_ms / sort_ms:6.1f} x the sort")
    print(f"merge, first     {merge_ms:6.0f} ms   {merge_ms / sort_ms:6.1f} x")
    print(
        f"draft and merge  {again_ms:6.0f} ms   {again_ms / sort_ms:6.1f} x   with all of it there"
    )
    print(f"networkx sort    {sort_ms:6.0f} ms")
    whole = max(draft_ms + merge_ms, again_ms)
    print(f"limit            {LIMIT_MS:6.0f} ms   {'kept' if whole <= LIMIT_MS else 'MISSED'}")
    return int(whole > LIMIT_MS)


if __name__ == "__main__":
    sys.exit(main())
