"""What each sheet weighs on the wire, and that nothing on it moves while it fills.

The limits are those of the project: 400 kB for a first visit without the chart library, and a
layout shift of at most 0.05, of the 0.1 that is called good (W3C Layout Instability; Core Web
Vitals, from memory). Times are measured by ``tests.bench.pages``, on a machine at rest.
"""

from __future__ import annotations

from urllib.parse import parse_qs, urlsplit

from playwright.sync_api import Browser, Route

from tests.bench.pages import (
    ACTS,
    PAGE_BYTES,
    SETTLED,
    SHIFT,
    Wire,
    open_settled,
    shift_of,
    window,
)

DESKTOP, PHONE = (1440, 900), (390, 844)
FOLDED = ("money", "forecast")
"""Sheets whose charts stand in folds at first."""


def test_every_sheet_weighs_less_than_400_kb_and_library_comes_with_a_chart_alone(
    browser: Browser, live_server: str
) -> None:
    """One window for all: what one sheet has brought is counted with the others as well."""
    drawn: dict[str, int] = {}
    with window(browser, DESKTOP) as context:
        for sheet in ACTS:
            page = context.new_page()
            wire = Wire(page, is_cold=True)
            open_settled(page, f"{live_server}/{sheet}")
            assert not page.locator("main > .problem").count(), sheet
            page.close()
            assert 50_000 < wire.page_bytes < PAGE_BYTES, (sheet, wire.page_bytes)
            drawn[sheet] = wire.library_bytes
    assert all(not drawn[sheet] for sheet in ("today", "schedule", "records", *FOLDED)), drawn
    assert 300_000 < drawn["away"] < PAGE_BYTES, drawn


def test_nothing_moves_while_today_and_forecast_fill(browser: Browser, live_server: str) -> None:
    """Slowly, as in a hangar: the first paint is there long before the answers."""
    moved = {}
    for size in (DESKTOP, PHONE):
        with window(browser, size) as context:
            for sheet in ("today", "forecast"):
                page = context.new_page()
                open_settled(page, f"{live_server}/{sheet}")
                page.evaluate(SETTLED, 200)
                moved[sheet, size[0]] = shift_of(page)
                page.close()
    assert all(shift <= SHIFT for shift, _ in moved.values()), moved


def test_tasks_beyond_the_first_thousands_can_be_chosen_as_well(
    browser: Browser, live_server: str
) -> None:
    def page_of_tasks(route: Route) -> None:
        query = parse_qs(urlsplit(route.request.url).query)
        offset, limit = (int(query[one][0]) for one in ("offset", "limit"))
        ids = range(offset, min(offset + limit, 10_001))
        route.fulfill(json={"total": 10_001, "activities": [{"id": f"T{one}"} for one in ids]})

    with window(browser, DESKTOP) as context:
        page = context.new_page()
        page.goto(f"{live_server}/assets/no-network.html")
        page.route("**/projects/1/activities/names?**", page_of_tasks)
        ids = page.evaluate(
            """async () => {
                const { allTasks } = await import("/assets/js/lib/all-tasks.js");
                const tasks = await allTasks({ path: (rest) => `/projects/1${rest}` });
                return tasks.map(({ id }) => id);
            }"""
        )
    assert ids == [f"T{one}" for one in range(10_001)]
