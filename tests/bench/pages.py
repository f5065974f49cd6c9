"""Every sheet in a real browser: how soon it is there, how still it stands, how soon it answers.

Run with ``python -m tests.bench.pages`` on a machine that does nothing else; ``--sheets``,
``--sizes``, ``--plans`` and ``--runs`` measure less. For the demo and for 3,000 tasks (twelve
copies of the demo's work in its zones, with its vendors and people), at three sizes: the first
contentful paint with an empty cache and with a filled one; the layout shift of the whole visit,
scrolled to the end; the longest time from a finger or a key to the next paint among the main
actions (Event Timing; the largest of few is what the 98th percentile of many would be); and the
bytes over the wire of a first visit, with the chart library counted apart. ``late`` is the layout
shift when the dates are still being computed while the sheet is opened. Times are medians of the
runs, shifts are the worst of them. A plain page of the same service, with one button, is measured
beside them: ``x`` is the first paint over that of the plain page. Ends with status 1 over a limit.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median
from time import monotonic, sleep
from typing import Any

import httpx
from playwright.sync_api import Browser, BrowserContext, Error, Page

from ribstitch.planfile import read_plan_file
from ribstitch.planfile.reading import dump_plan
from tests.bench.levelled_plans import DEMO, copies
from tests.bench.service import running_demo_in
from tests.support.browser import NO_TOUR, running_browser

SIZES = ((1440, 900), (834, 1112), (390, 844))
COPIES = 12
PROJECTS = {"demo": 1, "3,000 tasks": 2}
FIRST_PAINT_MS = {"demo": 1_000.0, "3,000 tasks": 2_000.0}
NEXT_PAINT_MS = {"demo": 200.0, "3,000 tasks": 300.0}
SHIFT = 0.05
PAGE_BYTES = 400_000
"""Without the chart library."""
LIBRARY = "plotly"
"""What the address of the chart library has in it."""
SETTLED_MS = 400
"""Without a new file or answer for so long, a sheet counts as complete."""

WATCH = """
window.seen = { shifts: [], events: [], label: "load" };
new PerformanceObserver((list) => {
  for (const one of list.getEntries()) if (!one.hadRecentInput)
    window.seen.shifts.push([one.startTime, one.value,
      one.sources.map(({ node }) => node?.id || node?.className || node?.nodeName).join(" ")]);
}).observe({ type: "layout-shift", buffered: true });
new PerformanceObserver((list) => {
  for (const one of list.getEntries()) if (one.interactionId)
    window.seen.events.push([window.seen.label, one.duration]);
}).observe({ type: "event", durationThreshold: 16, buffered: true });
"""
SETTLED = """async (still) => {
  const count = () => performance.getEntriesByType("resource").length;
  for (let last = count(), since = performance.now(); performance.now() - since < still; ) {
    await new Promise((resolve) => setTimeout(resolve, 50));
    if (count() !== last) { last = count(); since = performance.now(); }
  }
}"""
PLAIN = """<!doctype html><title>Plain</title><p>A plain page.</p>
<button onclick="this.textContent = 'Pressed'">Press</button>"""

Act = tuple[str, Callable[[Page], None]]


def click(selector: str, name: str = "", place: int = 0) -> Act:
    """Return a click on the first thing in sight that a selector names."""

    def act(page: Page) -> None:
        page.locator(selector).filter(visible=True).nth(place).click(timeout=3_000)

    return name or selector, act


def key(selector: str, stroke: str, name: str = "") -> Act:
    """Return a stroke of a key in a field."""

    def act(page: Page) -> None:
        page.locator(selector).filter(visible=True).first.focus()
        page.keyboard.press(stroke)

    return name or f"{stroke} in {selector}", act


CLOSE: Act = ("Escape", lambda page: page.keyboard.press("Escape"))
UNFOLD = click("main summary", "unfold")
ACTS: dict[str, tuple[Act, ...]] = {
    "today": (
        key("#zone", "ArrowDown", "zone"), key("#zone", "ArrowUp", "all zones"),
        click("main [data-task] h3 button", "a task's sheet"), CLOSE,
        click("main button:text-is('Hold')", "Hold"), CLOSE,
        click("main button:text-is('Hours')", "Hours"),
        click("main button:text-is('Start')", "Start"), click("button:text-is('Undo')", "Undo"),
    ),
    "evaluation": (
        key("#new textarea", "R", "letter"), key("#find", "s", "find"),
        click("#found-tools button", "condition"), click("main .finding button", "a finding"),
    ),
    "schedule": (
        click("#tools button:text-is('A year')", "A year"),
        click("#tools button:text-is('Six weeks')", "Six weeks"),
        click("#tools button:has-text('Later')", "Later"),
        click("#tools button:text-is('Whole job')", "Whole job"),
        click("main summary:has-text('All work')", "the table"),
        click("main button.sort", "sort", 4),
        key("#lanes input[type=search]", "w", "search"),
        click("#lanes tbody button.link", "a task's sheet"), CLOSE,
        key("#zone", "ArrowDown", "zone"), key("#zone", "ArrowUp", "all zones"),
    ),
    "away": (
        click("main summary:has-text('How long')", "how long"),
        click("main button:text-is('Log a call')", "Log a call"), CLOSE,
    ),
    "crew": (
        UNFOLD, click("main summary:has-text('more')", "more waits"),
        click("main button:has-text('Week after')", "week after"),
        click("main summary:has-text('Each week')", "the table"),
    ),
    "what-if": (
        key("#late select", "ArrowDown", "another vendor"),
        key("#late input[type=range]", "ArrowRight", "one day later"),
        click("main button:text-is('Keep as a case')", "keep as a case"),
        click("main button:has-text('empty case')", "empty case"),
    ),
    "forecast": (
        click("#sure > summary", "how sure"),
        click("#sure summary:has-text('same as a table')", "the table"),
        click("#milestones-panel > summary", "milestones"),
        click("main button:text-is('80 % by')", "80 % by"),
    ),
    "money": (
        click("#why-panel > summary", "why"), click("#need-panel > summary", "the need"),
        click("#costs-panel > summary", "cost lines"), click("#earned-panel > summary", "earned"),
    ),
    "records": (
        UNFOLD, click("main button:has-text('Sign off')", "Sign off"), CLOSE,
        click("main summary:has-text('more')", "more checks"),
    ),
    "settings": (
        click("#zones summary", "a zone"), click("#calendars summary", "a calendar"),
        click("#expedites summary", "days to buy"), key("#project-form input", "x", "letter"),
    ),
}  # fmt: skip
"""The main actions of each sheet, one after the other."""


@dataclass
class Visits:
    """What was measured of one sheet at one size."""

    cold: list[float] = field(default_factory=list)
    warm: list[float] = field(default_factory=list)
    complete: list[float] = field(default_factory=list)
    shifts: list[float] = field(default_factory=list)
    late: list[float] = field(default_factory=list)
    acts: dict[str, list[float]] = field(default_factory=dict)
    page_bytes: int = 0
    library_bytes: int = 0
    moved: str = ""
    """What moved furthest."""

    def slowest(self) -> tuple[str, float]:
        """Return the action with the longest median time to the next paint. [ms]"""
        middles = {name: median(all_of) for name, all_of in self.acts.items()}
        name = max(middles, key=lambda one: middles[one], default="")
        return name, middles.get(name, 0.0)


class Wire:
    """Counts what a page receives, headers and bodies as they travel. [bytes]"""

    def __init__(self, page: Page, *, is_cold: bool = False) -> None:
        self.page_bytes = self.library_bytes = 0
        self._address: dict[str, str] = {}
        session = page.context.new_cdp_session(page)
        session.send("Network.enable")
        if is_cold:
            session.send("Network.setCacheDisabled", {"cacheDisabled": True})
        session.on("Network.requestWillBeSent", self._begun)
        session.on("Network.loadingFinished", self._ended)

    def _begun(self, event: dict[str, Any]) -> None:
        self._address[event["requestId"]] = event["request"]["url"]

    def _ended(self, event: dict[str, Any]) -> None:
        received = int(event["encodedDataLength"])
        if LIBRARY in self._address.get(event["requestId"], "").rsplit("/", 1)[-1]:
            self.library_bytes += received
        else:
            self.page_bytes += received


def open_settled(page: Page, address: str) -> tuple[float, float]:
    """Open a page; return its first paint and when it was complete. [ms]"""
    page.goto(address)
    page.locator("main[aria-busy='false']").wait_for(timeout=60_000)
    complete = page.evaluate("performance.now()")
    page.evaluate(SETTLED, SETTLED_MS)
    return first_paint(page), complete


def first_paint(page: Page) -> float:
    """Return the first contentful paint of a page. [ms]"""
    return float(
        page.evaluate("performance.getEntriesByName('first-contentful-paint')[0].startTime")
    )


def scroll_through(page: Page) -> None:
    """Turn the wheel to the end of the page, at most twenty windows of it."""
    size = page.viewport_size or {"width": 0, "height": 800}
    page.mouse.move(size["width"] - 40, size["height"] / 2)
    for _ in range(20):
        page.mouse.wheel(0, size["height"] * 0.8)
        page.wait_for_timeout(60)
        if page.evaluate("scrollY + innerHeight >= document.documentElement.scrollHeight - 2"):
            break
    page.evaluate(SETTLED, SETTLED_MS)


def shift_of(page: Page) -> tuple[float, str]:
    """Return the layout shift of a visit: its worst session window, and what moved furthest."""
    shifts = page.evaluate("window.seen.shifts")
    worst, total, begun, last = 0.0, 0.0, 0.0, float("-inf")
    for at, value, _ in shifts:
        if at - last > 1_000 or at - begun > 5_000:
            begun, total = at, 0.0
        total += value
        last = at
        worst = max(worst, total)
    largest = max(shifts, key=lambda one: one[1], default=(0, 0, ""))
    return worst, str(largest[2])


def act_through(page: Page, acts: Sequence[Act]) -> dict[str, float]:
    """Do the main actions; return the longest time to the next paint of each. [ms]"""
    page.keyboard.press("Home")
    longest = {}
    for name, act in acts:
        page.evaluate("(name) => { window.seen.label = name; window.seen.events = []; }", name)
        try:
            act(page)
        except Error as error:
            print(f"  {page.url}: {name}: {str(error).splitlines()[0]}", file=sys.stderr)
            continue
        page.wait_for_timeout(350)
        events = page.evaluate("window.seen.events")
        longest[name] = max((duration for _, duration in events), default=0.0)
    return longest


def visit(context: BrowserContext, address: str, sheet: str, found: Visits) -> None:
    """Visit a sheet with an empty cache and again with a filled one, and use it."""
    page = context.new_page()
    wire = Wire(page)
    cold, complete = open_settled(page, address)
    found.page_bytes, found.library_bytes = wire.page_bytes, wire.library_bytes
    scroll_through(page)
    shift, moved = shift_of(page)
    if shift >= max(found.shifts, default=0):
        found.moved = moved
    found.library_bytes = wire.library_bytes
    page.close()
    page = context.new_page()
    warm, _ = open_settled(page, address)
    for name, duration in act_through(page, ACTS[sheet]).items():
        found.acts.setdefault(name, []).append(duration)
    shift = max(shift, shift_of(page)[0])
    page.close()
    found.cold.append(cold)
    found.warm.append(warm)
    found.complete.append(complete)
    found.shifts.append(shift)


def visit_late(context: BrowserContext, service: str, address: str, found: Visits) -> None:
    """Change the plan, then open a sheet while its dates are computed."""
    path = f"{service}/api/v1/projects/1/tasks"
    tasks = httpx.get(path, params={"limit": 1000}).json()["tasks"]
    task = next(one for one in reversed(tasks) if one["days"] and one["state"] == "not_started")
    headers = {"If-Match": f'"{task["version"]}"'}
    body = {"days": task["days"] + 0.5}
    httpx.patch(f"{path}/{task['id']}", json=body, headers=headers).raise_for_status()
    page = context.new_page()
    open_settled(page, address)
    wait_for_dates(service, 1)
    page.wait_for_timeout(1_500)
    found.late.append(shift_of(page)[0])
    page.close()


def wait_for_dates(service: str, project: int) -> None:
    """Wait until it is known how sure the dates are."""
    begun = monotonic()
    while monotonic() - begun < 300:
        answer = httpx.get(f"{service}/api/v1/projects/{project}/simulation", timeout=60).json()
        if answer["state"] != "running":
            return
        sleep(0.3)
    raise SystemExit("The dates were not computed in time.")


def plain_page(context: BrowserContext, service: str) -> tuple[float, float]:
    """Return the first paint of a plain page, and the time of its button to the next paint."""
    page = context.new_page()
    page.route("**/plain", lambda route: route.fulfill(body=PLAIN, content_type="text/html"))
    page.goto(f"{service}/plain")
    page.wait_for_timeout(100)
    page.locator("button").click()
    page.wait_for_timeout(200)
    events = [duration for _, duration in page.evaluate("window.seen.events")]
    found = first_paint(page), max(events, default=0.0)
    page.close()
    return found


@contextmanager
def window(browser: Browser, size: tuple[int, int]) -> Iterator[BrowserContext]:
    """Open a watched window with an empty cache."""
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]}, service_workers="block"
    )
    context.add_init_script(NO_TOUR)
    context.add_init_script(WATCH)
    try:
        yield context
    finally:
        context.close()


def faults(plan: str, found: Visits) -> list[str]:
    """Return which limits are not kept."""
    told = []
    if max(median(found.cold), median(found.warm)) >= FIRST_PAINT_MS[plan]:
        told.append("first paint")
    if found.slowest()[1] > NEXT_PAINT_MS[plan]:
        told.append("next paint")
    if max(*found.shifts, *found.late, 0) > SHIFT:
        told.append("shift")
    if found.page_bytes >= PAGE_BYTES:
        told.append("weight")
    return told


def told(sheet: str, width: int, found: Visits, plain: float, wrong: list[str]) -> str:
    """Return the line of one sheet at one size."""
    act, next_paint = found.slowest()
    late = f"{max(found.late):.3f}" if found.late else "    –"
    return (
        f"{sheet:11}{width:5}{median(found.cold):6.0f}{median(found.warm):6.0f}"
        f"{median(found.cold) / plain:5.1f}{median(found.complete):7.0f}"
        f"  {max(found.shifts):.3f} {late}{next_paint:6.0f} {act:18.18}"
        f"{found.page_bytes / 1000:6.0f}{found.library_bytes / 1000:6.0f}"
        f"  {', '.join(wrong)}{f' ({found.moved[:50]})' if 'shift' in wrong else ''}"
    )


HEAD = "sheet       wide  cold  warm    x   done  shift  late  next by                   kB   lib"


def measured(browser: Browser, service: str, asked: argparse.Namespace) -> int:
    """Measure what is asked for, print a table, and return how many lines are over a limit."""
    over = 0
    for plan in asked.plans:
        print(f"{plan}, medians of {asked.runs} runs, [ms]\n{HEAD}", flush=True)
        for sheet in asked.sheets:
            for size in SIZES:
                if size[0] not in asked.sizes:
                    continue
                found, plain = Visits(), []
                address = f"{service}/{sheet}?project={PROJECTS[plan]}"
                for _ in range(asked.runs):
                    with window(browser, size) as context:
                        plain.append(plain_page(context, service)[0])
                        visit(context, address, sheet, found)
                        wait_for_dates(service, PROJECTS[plan])
                if plan == "demo":
                    with window(browser, size) as context:
                        visit_late(context, service, address, found)
                wrong = faults(plan, found)
                over += bool(wrong)
                print(told(sheet, size[0], found, median(plain), wrong), flush=True)
    with window(browser, SIZES[0]) as context:
        pairs = [plain_page(context, service) for _ in range(5)]
    paint, press = (median(one[side] for one in pairs) for side in (0, 1))
    print(f"a plain page: first paint {paint:.0f}, its button {press:.0f} (16 ms and less are 0)")
    return over


def main() -> int:
    """Measure; return 1 if a limit is not kept."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--sheets", nargs="+", choices=list(ACTS), default=list(ACTS))
    parser.add_argument("--sizes", nargs="+", type=int, default=[one[0] for one in SIZES])
    parser.add_argument("--plans", nargs="+", choices=list(PROJECTS), default=list(PROJECTS))
    parser.add_argument("--runs", type=int, default=3)
    asked = parser.parse_args()
    with (
        tempfile.TemporaryDirectory() as folder,
        running_demo_in(str(Path(folder) / "demo")) as service,
        running_browser() as browser,
    ):
        if "3,000 tasks" in asked.plans:
            bring_in_copies(service.address)
        for plan in asked.plans:
            wait_for_dates(service.address, PROJECTS[plan])
        return 1 if measured(browser, service.address, asked) else 0


def bring_in_copies(service: str) -> None:
    """Bring in a plan of twelve copies of the demo's work."""
    made = httpx.post(
        f"{service}/api/v1/projects",
        content=dump_plan(copies(read_plan_file(DEMO), COPIES)),
        headers={"Content-Type": "application/json"},
        timeout=120,
    )
    made.raise_for_status()
    assert made.json()["id"] == PROJECTS["3,000 tasks"]


if __name__ == "__main__":
    sys.exit(main())
