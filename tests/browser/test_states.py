"""Plans out of the ordinary: none, empty, finished, with names nobody would choose."""

from __future__ import annotations

import json
from typing import Any

import httpx
import pytest
from playwright.sync_api import Page, expect

from tests.bench.pages import SHIFT, WATCH, shift_of
from tests.browser.conftest import OpenPage
from tests.browser.journeys import SHEETS, SIZES, name_of_size, wait_until_drawn
from tests.browser.test_sheets import faults

DAY = "2026-10-05"
LONG = "W" * 200
MARKUP = "<b>bold</b><img src=x onerror=alert(1)>"


def bring_in(address: str, **parts: Any) -> int:
    """Bring in a small plan; give the number of the project."""
    project = {"start": DAY, "as_of": DAY, "currency": "EUR", **parts.pop("project", {})}
    plan = {"format": "ribstitch-plan/1", "project": project, **parts}
    made = httpx.post(f"{address}/api/v1/projects", json=plan).raise_for_status().json()
    number: int = made["id"]
    return number


def odd_plan(address: str) -> int:
    """Bring in a plan whose every name is 200 letters long, or looks like markup."""
    legs = {"lead_days": 30, "accept_days": 1}
    return bring_in(
        address,
        project={"name": LONG, "aircraft": LONG, "serial": MARKUP},
        zones=[{"id": "tail", "name": LONG}, {"id": "bow", "name": MARKUP}],
        tasks=[
            {"id": "A", "name": LONG, "days": 3, "zone": "tail", "trade": "metal", "why": LONG},
            {"id": "B", "name": MARKUP, "days": 5, "zone": "bow", "trade": MARKUP},
            {"id": "C", "name": LONG + "2", "days": 1, "zone": "tail"},
        ],
        links=[{"from": "A", "to": "C"}, {"from": "B", "to": "C"}],
        vendors=[{"id": "V1", "name": LONG}, {"id": "V2", "name": MARKUP}],
        send_outs=[
            {"id": "S1", "name": LONG, "vendor": "V1", "after": ["A"], "before": ["C"], **legs},
            {"id": "S2", "name": MARKUP, "vendor": "V2", "after": ["B"], "before": ["C"], **legs},
        ],
    )


def open_project(page: Page, sheet: str, project: int) -> None:
    """Go to a sheet of a project and wait until it is complete."""
    page.goto(f"/{sheet}?project={project}")
    wait_until_drawn(page)


@pytest.mark.parametrize("size", SIZES[::2], ids=name_of_size)
def test_odd_names_are_shown_as_text_and_stay_within_the_window(
    open_page: OpenPage, live_server: str, size: tuple[int, int]
) -> None:
    project = odd_plan(live_server)
    page = open_page(size=size)
    for sheet in SHEETS:
        open_project(page, sheet, project)
        assert page.evaluate("document.documentElement.scrollWidth") <= size[0], sheet
        assert page.locator("main img, main b:text-is('bold')").count() == 0, sheet
        if size == SIZES[0]:
            assert faults(page) == [], sheet
    open_project(page, "today", project)
    page.locator(".card-name button").first.click()
    dialog = page.get_by_role("dialog")
    expect(dialog).to_be_visible()
    assert dialog.evaluate("node => node.scrollWidth <= node.clientWidth")
    assert faults(page) == []


def test_a_second_project_is_chosen_on_a_phone_and_moves_nothing(
    open_page: OpenPage, live_server: str
) -> None:
    """Neither on the first visit, when nobody knows yet that there are two, nor later."""
    project = bring_in(live_server, project={"name": "The second of two"})
    page = open_page(size=SIZES[2])
    page.add_init_script(WATCH)
    for sheet in ("today", "settings"):
        open_project(page, sheet, project)
        expect(page.locator("#project")).to_have_value(str(project))
        assert shift_of(page)[0] < SHIFT / 5, sheet


def test_a_plan_without_work_is_not_announced_as_finished(
    open_page: OpenPage, live_server: str
) -> None:
    project = bring_in(live_server, project={"name": "Nothing yet"})
    page = open_page(size=SIZES[2])
    for sheet in SHEETS:
        open_project(page, sheet, project)
        assert faults(page) == [], sheet
    open_project(page, "forecast", project)
    expect(page.locator("main")).to_contain_text("There is no work in this plan yet")
    assert page.locator(".answer-date").count() == 0
    expect(page.locator(".title-block .finish .value")).to_have_text("no work yet")
    open_project(page, "away", project)
    expect(page.locator("#vendors")).to_contain_text("No vendor is entered yet.")
    for empty in ("#key", "#lanes"):
        expect(page.locator(empty)).to_be_hidden()


def test_a_finished_project_says_when_it_was_finished(
    open_page: OpenPage, live_server: str
) -> None:
    status = {"state": "done", "started": "2026-10-01", "finished": "2026-10-02"}
    tasks = [{"id": "A", "name": "Only one", "days": 2, "status": status}]
    project = bring_in(live_server, project={"name": "All done"}, tasks=tasks)
    page = open_page(size=SIZES[2])
    open_project(page, "forecast", project)
    expect(page.locator(".answer-label")).to_contain_text("was finished on")
    assert page.locator(".answer-honest").count() == 0


def test_the_address_of_a_project_that_is_not_here_shows_no_other_one(open_page: OpenPage) -> None:
    page = open_page("/today?project=987654", SIZES[0])
    expect(page.get_by_role("heading", name="No such project")).to_be_visible()
    page.get_by_role("link", name="Garganey LM2-019").click()
    wait_until_drawn(page)
    expect(page.locator(".title-block .project")).to_contain_text("Garganey")


def test_without_any_project_every_sheet_offers_to_bring_one_in(open_page: OpenPage) -> None:
    page = open_page(size=SIZES[0])
    page.route("**/api/v1/projects", lambda route: route.fulfill(json={"projects": []}))
    for sheet in SHEETS:
        page.goto(f"/{sheet}")
        expect(page.get_by_label("Bring in a plan file")).to_be_visible()
    assert faults(page) == []


def test_without_the_chart_library_the_table_stands_alone(open_page: OpenPage) -> None:
    page = open_page(size=SIZES[0])
    page.route("**/plotly-*.js", lambda route: route.fulfill(body=""))
    for sheet in ("away", "crew", "what-if", "forecast"):
        page.goto(f"/{sheet}")
        wait_until_drawn(page)
        folds = page.locator("details:has(.chart)")
        folds.evaluate_all("folds => folds.forEach((one) => { one.open = true; })")
        chart = page.locator(".chart:visible").first
        expect(chart.get_by_role("alert")).to_contain_text("could not be loaded")
        expect(chart.get_by_role("table")).to_be_visible()


def test_saving_again_after_a_stale_edit_keeps_what_the_other_changed(
    open_page: OpenPage, live_server: str
) -> None:
    """Only the field that was typed is sent; the 412 shows in the console, so nobody watches."""
    project = bring_in(live_server, tasks=[{"id": "A", "name": "Rib", "days": 3}])
    task = f"{live_server}/api/v1/projects/{project}/tasks/A"
    page = open_page(watched=False)
    open_project(page, "today", project)
    page.get_by_role("button", name="Rib", exact=True).click()
    page.get_by_label("Not before").fill("2026-11-02")
    other = httpx.patch(task, json={"days": 8}, headers={"If-Match": '"1"'})
    assert other.is_success

    page.get_by_role("button", name="Save the record").click()
    expect(page.get_by_role("alert").filter(has_text="in the meantime")).to_be_visible()
    page.get_by_role("button", name="Save the record").click()

    expect(page.get_by_role("status").filter(has_text="finish as written moves")).to_be_visible()
    kept = httpx.get(task).json()["task"]
    assert (kept["days"], kept["not_before"]) == (8, "2026-11-02")
    page.locator("#notice").get_by_role("button", name="Undo").click()
    expect(page.get_by_role("status").filter(has_text="Put back")).to_be_visible()
    assert httpx.get(task).json()["task"]["not_before"] is None


def test_undo_from_the_notice_takes_back_nothing_that_somebody_else_entered_since(
    open_page: OpenPage, live_server: str
) -> None:
    """The undo names the version that saving answered; the 412 shows in the console."""
    project = bring_in(live_server, tasks=[{"id": "A", "name": "Rib", "days": 3}])
    task = f"{live_server}/api/v1/projects/{project}/tasks/A"
    page = open_page(watched=False)
    open_project(page, "today", project)
    page.get_by_role("button", name="Rib", exact=True).click()
    page.get_by_label("Not before").fill("2026-11-02")
    page.get_by_role("button", name="Save the record").click()
    expect(page.get_by_role("status").filter(has_text="Saved")).to_be_visible()
    version = httpx.get(task).headers["etag"]
    httpx.patch(task, json={"days": 8}, headers={"If-Match": version}).raise_for_status()

    page.locator("#notice").get_by_role("button", name="Undo").click()

    told = page.locator("#notice").get_by_role("status")
    expect(told).to_contain_text("Not taken back. It was changed in the meantime by")
    kept = httpx.get(task).json()["task"]
    assert (kept["days"], kept["not_before"]) == (8, "2026-11-02")


def test_undo_from_the_change_log_names_the_newest_version_of_the_thing(
    open_page: OpenPage, live_server: str
) -> None:
    """After one taking-back the change before it can be taken back as well."""
    project = bring_in(live_server, tasks=[{"id": "A", "name": "Rib", "days": 3}])
    task = f"{live_server}/api/v1/projects/{project}/tasks/A"
    for version, days in ((1, 5), (2, 8)):
        change = httpx.patch(task, json={"days": days}, headers={"If-Match": f'"{version}"'})
        assert change.is_success
    page = open_page(size=SIZES[0])
    open_project(page, "settings", project)
    for days, asked in ((5, '"3"'), (3, '"4"')):
        with page.expect_request("**/undo") as undo:
            page.get_by_role("button", name="Undo the change of task A").click()
        assert undo.value.headers["if-match"] == asked
        expect(page.get_by_role("status").filter(has_text="Put back")).to_be_visible()
        assert httpx.get(task).json()["task"]["days"] == days
        page.locator("#notice").get_by_role("button", name="Close").click()
        wait_until_drawn(page)


def test_where_nothing_was_changed_no_undo_is_offered(
    open_page: OpenPage, live_server: str
) -> None:
    """Undo would take back something older, which nobody has just done."""
    tasks = [{"id": "A", "name": "Rib", "days": 3, "status": {"state": "in_work", "started": DAY}}]
    project = bring_in(live_server, tasks=tasks)
    task = f"{live_server}/api/v1/projects/{project}/tasks/A"
    page = open_page(size=SIZES[0])
    open_project(page, "today", project)
    page.get_by_role("button", name="Rib", exact=True).click()
    page.get_by_label("Working days in all").fill("4")
    asked = json.dumps({"task": {"days": 3}})
    page.route("**/tasks/A/plan", lambda route: route.continue_(post_data=asked))
    page.get_by_role("button", name="Save the record").click()
    expect(page.locator("#notice").get_by_role("status")).to_have_text("Nothing changed.")
    expect(page.locator("#notice").get_by_role("button", name="Undo")).to_have_count(0)
    assert httpx.get(task).json()["version"] == 1


@pytest.mark.parametrize("size", SIZES[::2], ids=name_of_size)
def test_an_address_that_is_no_sheet_says_so_and_leads_to_the_sheets(
    open_page: OpenPage, live_server: str, size: tuple[int, int]
) -> None:
    """The 404 itself shows in the console, so nobody watches."""
    page = open_page("/nowhere", size, watched=False)
    wait_until_drawn(page)
    expect(page.get_by_role("heading", level=1)).to_have_text("There is no such sheet")
    heights = page.locator("main h1, main p").evaluate_all("all => all.map(one => one.offsetTop)")
    assert heights[1] - heights[0] < 150, "the words stand under the heading, not across the sheet"
    index = page.get_by_role("navigation", name="Sheets")
    expect(index.get_by_role("link")).to_have_count(len(SHEETS))
    assert page.locator("[aria-current]").count() == 0
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert faults(page) == []
    page.locator("main").get_by_role("link", name="Away").click()
    wait_until_drawn(page)
    expect(page.get_by_role("heading", level=1)).to_have_text("Away")
