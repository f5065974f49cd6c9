"""The Crew sheet: who waits for whom, a better order found, taken and undone, the week printed."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

import httpx
import pytest
from playwright.sync_api import Locator, Page, Route, expect

from tests.browser.conftest import DESKTOP, PHONE, OpenPage
from tests.browser.journeys import SIZES, answer, name_of_size, take_role, wait_until_drawn
from tests.browser.test_sheets import faults
from tests.browser.test_states import LONG, MARKUP, bring_in, open_project

CALENDARS = [{"id": "shop", "name": "Shop", "week": [8, 8, 8, 8, 8, 0, 0]}]
FABRIC = {"trade": "fabric", "people": 1, "calendar": "shop", "label": "Fabric worker 1"}
COVER = {"id": "A", "name": "Cover the rudder", "days": 5, "trade": "fabric", "calendar": "shop"}
PATCH = {"id": "B", "name": "Patch the wing", "days": 15, "trade": "fabric", "calendar": "shop"}
RIG = {"id": "C", "name": "Rig the tail", "days": 20, "calendar": "shop"}
LONGEST_FIRST = {"from": "B", "to": "A", "names": ["fabric"]}


def covering(address: str, **parts: Any) -> int:
    """
    Bring in two jobs for the only fabric worker, in the worse order; give the project's number.

    Patching first (15 working days) keeps the rudder waiting for three weeks, and rigging
    with it: 15 + 5 + 20 working days. The other way round it is 5 + 20.
    """
    plan = {
        "calendars": CALENDARS,
        "crew": [FABRIC],
        "tasks": [COVER, PATCH, RIG],
        "links": [{"from": "A", "to": "C"}],
        "crew_links": [LONGEST_FIRST],
    }
    return bring_in(address, **{**plan, **parts})


def open_crew(open_page: OpenPage, project: int, size: tuple[int, int] = DESKTOP) -> Page:
    """Open the sheet of a project."""
    page = open_page(f"/crew?project={project}", size)
    wait_until_drawn(page)
    return page


def of(address: str, project: int, path: str) -> Any:
    """Return what the service answers about a project."""
    return httpx.get(f"{address}/api/v1/projects/{project}{path}").raise_for_status().json()


def notice(page: Page) -> Locator:
    """Return the words of the notice."""
    return page.locator("#notice").get_by_role("status")


def undo(page: Page) -> None:
    """Take back what the notice tells of."""
    page.locator("#notice").get_by_role("button", name="Undo").click()
    expect(notice(page)).to_contain_text("Put back")


def look(page: Page) -> None:
    """Look for a better order by keyboard, and wait until one is found."""
    page.get_by_role("button", name="Look for a better order").press("Enter")
    expect(page.locator("#order .order-best").filter(has_text=re.compile("^Finish"))).to_be_visible(
        timeout=20_000
    )


def days_told(sentence: str) -> str:
    """Return a sentence up to its first date, which the page writes its own way."""
    return re.split(r"\d{4}-\d\d-\d\d", sentence)[0]


# What stands there.


@pytest.mark.parametrize("size", SIZES[::2], ids=name_of_size)
def test_unfolded_sheet_fits_and_axe_finds_nothing(
    open_page: OpenPage, size: tuple[int, int]
) -> None:
    page = open_page("/crew", size)
    wait_until_drawn(page)
    for fold in page.locator("main details > summary").all():
        fold.click()
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert faults(page) == []


def test_answer_says_what_waiting_costs_and_who_is_the_bottleneck(
    open_page: OpenPage, live_server: str
) -> None:
    load = answer(live_server, "/crew-load")
    without, finish = (date.fromisoformat(load[one]) for one in ("finish_without_limits", "finish"))
    days = (finish - without).days
    assert days > 0
    page = open_page("/crew")
    wait_until_drawn(page)
    told = page.locator("#answer")
    expect(told.locator(".crew-headline")).to_have_text(
        f"Waiting for hands and places costs {days}\u00a0days."
    )
    expect(told).to_contain_text(load["bottleneck"]["sentence"])
    expect(told.locator(f"time[datetime='{without}']").first).to_be_visible()
    likely = told.locator(".span-row").filter(has_text="likely")
    spread = answer(live_server, "/simulation")["result"]["finish"]
    for told_date in (spread["p50"], spread["p80"]):
        expect(likely.locator(f"time[datetime='{told_date}']")).to_be_visible()


def test_waits_stand_by_whom_they_wait_for_and_what_sets_the_finish_is_outlined(
    open_page: OpenPage, live_server: str
) -> None:
    waits = answer(live_server, "/crew-load")["waits"]
    page = open_page("/crew")
    wait_until_drawn(page)
    groups = page.locator(".wait-group")
    assert groups.count() == len({(one["kind"], *one["names"]) for one in waits})
    assert page.locator(".wait").count() == len(waits)
    assert page.locator(".wait.on-path").count() == sum(one["on_path"] for one in waits)
    first = max((one for one in waits if one["on_path"]), key=lambda one: one["days"])
    expect(page.locator(".wait-sentence").first).to_have_text(first["sentence"])
    page.locator(".wait").first.get_by_role("button", name="Open").click()
    expect(page.get_by_role("dialog")).to_contain_text(first["to"])


def test_load_has_the_weeks_behind_the_drawing(open_page: OpenPage, live_server: str) -> None:
    load = answer(live_server, "/crew-load")
    weeks = sum(len(one["weeks"]) for one in (*load["trades"], *load["places"]))
    page = open_page("/crew")
    wait_until_drawn(page)
    page.get_by_text("Each week as a table").click()
    expect(page.locator("#load .turn").get_by_role("status")).to_contain_text(
        re.compile(rf"of {weeks:,}".replace(",", ".?"))
    )
    page.get_by_text("Each trade and place as a table").click()
    rows = page.locator("#trades tbody tr")
    assert rows.count() == len(load["trades"]) + len(load["places"])


# Finding a better order.


def test_better_order_is_found_taken_and_undone(open_page: OpenPage, live_server: str) -> None:
    """The rudder first: three weeks sooner, proven, since 5 + 20 days need no search."""
    project = covering(live_server)
    page = open_crew(open_page, project)
    before = of(live_server, project, "/crew-links")["crew_links"]
    expect(page.locator(".wait-sentence")).to_contain_text("Cover the rudder waits 3 weeks")
    look(page)
    told = page.locator("#order .order-best")
    expect(told).to_contain_text("21 days sooner; proven: no order is faster; 3 starts move.")
    expect(page.locator("#order").get_by_role("status")).to_have_text(told.text_content() or "")
    assert of(live_server, project, "/crew-links")["crew_links"] == before

    take = page.get_by_role("button", name="Take this order")
    expect(take).to_be_focused()
    take.press("Enter")
    expect(notice(page)).to_contain_text("The order is taken")
    expect(notice(page)).to_contain_text("21 days sooner.")
    (link,) = of(live_server, project, "/crew-links")["crew_links"]
    assert (link["from"], link["to"]) == ("A", "B")
    expect(page.locator(".crew-headline")).to_have_text("The crew does not hold up the finish.")

    undo(page)
    (link,) = of(live_server, project, "/crew-links")["crew_links"]
    assert (link["from"], link["to"]) == ("B", "A")
    expect(page.locator(".wait-sentence")).to_contain_text("Cover the rudder waits 3 weeks")


def test_order_that_is_left_changes_nothing(open_page: OpenPage, live_server: str) -> None:
    project = covering(live_server)
    page = open_crew(open_page, project)
    look(page)
    page.get_by_role("button", name="Leave it").press("Enter")
    expect(page.get_by_role("button", name="Look for a better order")).to_be_focused()
    page.reload()
    wait_until_drawn(page)
    expect(page.locator("#order")).to_contain_text("is left aside")
    (link,) = of(live_server, project, "/crew-links")["crew_links"]
    assert (link["from"], link["to"]) == ("B", "A")
    page.get_by_role("button", name="Show it again").press("Enter")
    expect(page.get_by_role("button", name="Take this order")).to_be_focused()


def test_stopped_search_keeps_the_best_so_far(open_page: OpenPage) -> None:
    """Two minutes are asked for; the button has the focus, and one press is enough."""
    page = open_page("/crew")
    wait_until_drawn(page)
    page.get_by_text("How to look: 5 seconds; every day counts").click()
    page.get_by_role("radio", name="2 minutes").check()
    expect(page.get_by_text("How to look: 2 minutes; every day counts")).to_be_visible()
    page.get_by_role("button", name="Look for a better order").press("Enter")
    best = page.locator("#order .order-best")
    expect(best).to_contain_text("Best so far: finish as written")
    expect(best).to_contain_text("Proven: not before")
    stop = page.get_by_role("button", name="Stop here, keep the best")
    expect(stop).to_be_focused()
    stop.press("Enter")
    expect(best).to_have_text(re.compile(r"^Finish .*; proven: .* starts move\.$"))


def test_order_for_a_plan_that_was_changed_since_is_not_taken(
    open_page: OpenPage, live_server: str
) -> None:
    project = covering(live_server)
    page = open_crew(open_page, project)
    look(page)
    task = f"{live_server}/api/v1/projects/{project}/tasks/B"
    httpx.patch(task, json={"days": 16}, headers={"If-Match": '"1"'}).raise_for_status()
    page.reload()
    wait_until_drawn(page)
    expect(page.locator("#order")).to_contain_text("The plan was changed since the last search")
    expect(page.get_by_role("button", name="Take this order")).to_have_count(0)


# Letting two go at the same time.


def test_broken_wait_is_warned_of_and_put_back(open_page: OpenPage, live_server: str) -> None:
    """Both at once ask for two fabric workers in the first week, and there is one."""
    project = covering(live_server)
    page = open_crew(open_page, project)
    page.locator(".wait").get_by_role("button", name="Let them go at the same time").press("Enter")
    expect(notice(page)).to_contain_text("Patch the wing and Cover the rudder may go")
    expect(notice(page)).to_contain_text("21 days sooner")
    expect(notice(page)).to_contain_text("Mind that Fabric is asked for too much now: in the")
    expect(notice(page)).to_contain_text("5\u00a0days of its work find nobody free")
    assert of(live_server, project, "/crew-links")["crew_links"] == []
    expect(page.locator("#waits")).to_contain_text("The plan has no crew links yet")
    undo(page)
    assert len(of(live_server, project, "/crew-links")["crew_links"]) == 1
    expect(page.locator(".wait")).to_have_count(1)


def test_focus_is_on_the_waits_after_one_was_broken(open_page: OpenPage, live_server: str) -> None:
    """The button that was pressed is gone with its wait."""
    page = open_crew(open_page, covering(live_server))
    page.locator(".wait").get_by_role("button", name="Let them go at the same time").press("Enter")
    expect(page.get_by_role("heading", name="Who waits for whom")).to_be_focused()


# One more.


def test_gains_are_worked_out_when_asked_for(open_page: OpenPage, live_server: str) -> None:
    """A second fabric worker cannot gain more than a better order: five days alone are left."""
    project = covering(live_server, links=[{"from": "A", "to": "C"}, {"from": "B", "to": "C"}])
    page = open_crew(open_page, project)
    panel = page.locator("#gains")
    panel.get_by_role("button", name="Work it out").press("Enter")
    expect(panel.get_by_role("button", name="Work it out again")).to_be_visible(timeout=30_000)
    result = of(live_server, project, "/one-more")["result"]
    gains = [one for one in result["gains"] if one["gain_days"] > 0]
    assert gains
    days = [one["gain_days"] for one in result["gains"]]
    assert days == sorted(days, reverse=True)
    assert panel.locator(".gains li").count() == min(len(gains), 6)
    person = next(one for one in gains if one["kind"] == "person")
    assert (person["gain_days"], person["proven"]) == (7, True)
    expect(panel.locator(".gains")).to_contain_text("One more hand, proven")
    expect(page.locator("#answer")).to_contain_text("What gains most, on top of the best order")
    expect(page.locator("#answer")).to_contain_text(days_told(gains[0]["sentence"]))
    panel.get_by_text("All of them as a table").click()
    assert panel.locator("tbody tr").count() == len(result["gains"])


def test_work_on_gains_can_be_stopped(open_page: OpenPage) -> None:
    page = open_page("/crew")
    wait_until_drawn(page)
    panel = page.locator("#gains")
    panel.get_by_role("button", name="Work it out").press("Enter")
    panel.get_by_role("button", name="Stop").press("Enter")
    expect(panel.get_by_role("button", name="Work it out")).to_be_focused()


# The week.


def test_week_shows_who_does_what_and_stays_in_the_address(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page("/crew")
    wait_until_drawn(page)
    page.get_by_role("button", name="Week after").press("Enter")
    expect(page).to_have_url(re.compile("week=2026-10-12"))
    week = answer(live_server, "/crew-week?monday=2026-10-12")
    busy = [one for one in week["people"] if any(day["works"] for day in one["days"])]
    assert busy
    expect(page.locator(".week tbody th")).to_have_count(len(busy))
    expect(page.locator(".week tbody th").first).to_contain_text(busy[0]["slot"])
    works = sum(len(day["works"]) for one in busy for day in one["days"])
    assert page.locator(".week .week-task").count() == works
    assert week["unassigned"]
    missing = {(one["task"], one["trade"]) for one in week["unassigned"]}
    lines = page.locator(".week-unassigned li")
    assert lines.count() == len(missing)
    first = week["unassigned"][0]
    expect(lines.first.get_by_role("button")).to_have_text(first["name"])
    expect(lines.first.locator(".stamp")).to_have_text(
        re.compile("to spare|Sets the finish|too late")
    )

    page.get_by_label("Week with the date").fill("2026-11-05")
    expect(page.locator(".week-name time").first).to_have_attribute("datetime", "2026-11-02")
    page.reload()
    wait_until_drawn(page)
    expect(page.locator(".week-name time").first).to_have_attribute("datetime", "2026-11-02")
    page.get_by_role("button", name="This week", exact=True).click()
    expect(page.locator(".week-name time").first).to_have_attribute("datetime", "2026-10-05")


def test_of_much_work_that_finds_nobody_two_dozen_are_in_sight(open_page: OpenPage) -> None:
    def lengthened(route: Route) -> None:
        week = route.fetch().json()
        one = {**week["unassigned"][0], "hazards": []}
        week["unassigned"] = [{**one, "task": f"T{number}"} for number in range(30)]
        route.fulfill(json=week)

    page = open_page()
    page.route("**/projects/1/crew-week*", lengthened)
    page.goto("/crew")
    wait_until_drawn(page)
    nobody = page.locator(".week-unassigned")
    expect(nobody.get_by_role("heading")).to_have_text("Nobody free for it 30")
    expect(nobody.get_by_role("listitem").filter(visible=True)).to_have_count(24)
    nobody.get_by_text("6 more").click()
    expect(nobody.get_by_role("listitem").filter(visible=True)).to_have_count(30)


def test_what_is_held_without_a_date_stands_apart_with_its_reason(open_page: OpenPage) -> None:
    def with_held(route: Route) -> None:
        week = route.fetch().json()
        name = {"task": "F05", "name": "Serial plate", "zone": "Bow"}
        room = {"critical": False, "total_float_days": 76.0}
        week["held"] = [
            {**name, "reason": "the book is away", **room},
            {**name, "reason": "", **room},
        ]
        route.fulfill(json=week)

    page = open_page()
    page.route("**/projects/1/crew-week*", with_held)
    page.goto("/crew")
    wait_until_drawn(page)
    held = page.locator(".week-held")
    expect(held.get_by_role("heading")).to_have_text("Held, nobody is asked for it 2")
    lines = held.get_by_role("listitem")
    expect(lines.first).to_have_text("Serial plate Bow 76 days to spare the book is away")
    expect(lines.last).to_contain_text("No reason was given.")


def test_week_before_the_as_of_date_says_so(open_page: OpenPage) -> None:
    page = open_page("/crew?week=2026-09-07")
    wait_until_drawn(page)
    expect(page.locator(".week-body")).to_contain_text("lies before the as-of date")


def test_on_a_phone_one_person_stands_under_another(open_page: OpenPage) -> None:
    page = open_page("/crew?week=2026-10-12", PHONE)
    wait_until_drawn(page)
    cells = page.locator(".week tbody tr").first.locator("td.has-work")
    boxes = [cell.bounding_box() for cell in cells.all()]
    assert len(boxes) > 1
    lefts = {box["x"] for box in boxes if box is not None}
    tops = [box["y"] for box in boxes if box is not None]
    assert len(lefts) == 1
    assert tops == sorted(set(tops))
    expect(cells.first.locator(".week-day")).to_be_visible()


def test_week_prints_on_one_landscape_sheet_with_its_cautions(open_page: OpenPage) -> None:
    page = open_page("/crew?week=2026-10-12")
    wait_until_drawn(page)
    page.evaluate("window.print = () => dispatchEvent(new Event('beforeprint'))")
    page.get_by_role("button", name="Print this week").click()
    page.emulate_media(media="print")
    expect(page.locator("#waits-panel")).to_be_hidden()
    expect(page.locator(".week-tools")).to_be_hidden()
    expect(page.locator(".week-cautions dt").first).to_be_visible()
    expect(page.locator(".week-cautions .standing-line")).to_be_visible()
    paper = page.pdf(prefer_css_page_size=True)
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", paper)
    assert len(boxes) == 1
    width, height = (float(side) for side in boxes[0])
    assert width > height
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    expect(page.locator("#waits-panel")).to_be_visible()


# Who only looks, and plans out of the ordinary.


def test_owner_looks_and_changes_nothing(open_page: OpenPage, live_server: str) -> None:
    page = open_crew(open_page, covering(live_server))
    take_role(page, "owner")
    for name in ("Let them go", "Look for a better order", "Work it out", "Take this order"):
        expect(page.get_by_role("button", name=name)).to_have_count(0)
    expect(page.locator("#order")).to_contain_text("The shop lead or the planner")
    expect(page.locator(".wait-sentence")).to_contain_text("Cover the rudder waits 3 weeks")
    expect(page.get_by_role("button", name="Print this week")).to_be_visible()
    take_role(page, "lead")


@pytest.mark.parametrize(
    ("parts", "told"),
    [
        ({}, "Nothing is planned yet."),
        ({"tasks": [RIG], "calendars": CALENDARS}, "No open work asks for people or a place."),
    ],
    ids=["no work", "no trade"],
)
def test_plan_that_asks_for_nobody_says_what_is_missing(
    open_page: OpenPage, live_server: str, parts: dict[str, Any], told: str
) -> None:
    page = open_crew(open_page, bring_in(live_server, **parts))
    expect(page.locator("#answer")).to_contain_text(told)
    expect(page.locator("#answer .empty-state")).to_contain_text("which trade each task takes")
    for panel in ("load-panel", "waits-panel", "order-panel", "gains-panel"):
        expect(page.locator(f"#{panel}")).to_be_hidden()
    expect(page.locator("#week")).to_contain_text("No crew is entered")
    assert faults(page) == []


def test_plan_without_crew_links_says_that_its_dates_look_at_nobody(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_crew(open_page, covering(live_server, crew_links=[]))
    expect(page.locator(".crew-headline")).to_have_text("The crew has no order of work yet.")
    expect(page.locator("#waits")).to_contain_text("no crew links yet")
    assert faults(page) == []


def test_forty_people_with_long_names_stay_within_a_phone(
    open_page: OpenPage, live_server: str
) -> None:
    people = [
        {"trade": f"t{number}", "people": 1, "calendar": "shop", "label": f"{LONG}{number}"}
        for number in range(40)
    ]
    tasks = [
        {"id": f"T{number}", "name": f"{MARKUP}{LONG}", "days": 3, "trade": f"t{number}",
         "calendar": "shop"}
        for number in range(40)
    ]  # fmt: skip
    project = bring_in(live_server, calendars=CALENDARS, crew=people, tasks=tasks)
    page = open_crew(open_page, project, PHONE)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
    assert page.locator(".week tbody th").count() == 40
    assert page.locator("main img").count() == 0


def test_week_after_all_the_work_is_empty_and_says_so(open_page: OpenPage) -> None:
    page = open_page("/crew?week=2034-05-01")
    wait_until_drawn(page)
    expect(page.locator(".week-body")).to_contain_text("Nobody has work in this week.")


def test_sheet_opens_by_its_name_in_the_index(open_page: OpenPage) -> None:
    page = open_page("/today")
    wait_until_drawn(page)
    page.get_by_role("navigation", name="Sheets").get_by_role("link", name="Crew").click()
    wait_until_drawn(page)
    expect(page.get_by_role("heading", level=1)).to_have_text("Crew")


def test_without_the_service_the_form_says_so_and_stays(
    open_page: OpenPage, live_server: str
) -> None:
    """The refusal shows in the console, so nobody watches."""
    page = open_page(watched=False)
    open_project(page, "crew", covering(live_server))
    page.route("**/levelling", lambda route: route.abort())
    page.get_by_role("button", name="Look for a better order").click()
    expect(notice(page)).to_contain_text("cannot be reached")
    page.unroute("**/levelling")
    page.locator("#order").get_by_role("button", name="Try again").click()
    expect(page.get_by_role("button", name="Look for a better order")).to_be_enabled()
