"""How sure a date is, on Schedule, Away, What-if and Today: what the service found, in words."""

from __future__ import annotations

from math import floor
from typing import Any

import httpx
import pytest
from playwright.sync_api import Page, Route, expect

from tests.browser.conftest import OpenPage
from tests.browser.journeys import SIZES, answer, found, name_of_size, take_role, wait_until_drawn
from tests.browser.test_sheets import faults
from tests.browser.test_states import bring_in, open_project

RUNNING = {"plan_version": 1, "state": "running", "progress": 0.35, "reason": "", "result": None}
CANCELLED = RUNNING | {"state": "cancelled"}


def dates_in(page: Page, selector: str) -> list[str | None]:
    """Return the dates that stand in a part of the page."""
    return [one.get_attribute("datetime") for one in page.locator(f"{selector} time").all()]


def as_if(page: Page, state: dict[str, Any]) -> list[dict[str, Any] | None]:
    """
    Show the page a service whose simulation stands so, until the list is emptied to [None].

    What the views tell while nothing is known is left out of their answers.
    """
    states: list[dict[str, Any] | None] = [state]

    def simulation(route: Route) -> None:
        if states[0] is None:
            route.continue_()
        else:
            route.fulfill(json=states[0])

    def view(route: Route) -> None:
        response = route.fetch()
        told = response.json()
        if states[0] is not None:
            told |= {"is_sure": False} if "is_sure" in told else {}
            for line in told["activities"] if "total" in told else []:
                line |= {"spread": None, "criticality": None}
            for line in told.get("send_outs", []):
                line |= {"back": None, "criticality": None}
        route.fulfill(response=response, json=told)

    page.route("**/projects/1/simulation", simulation)
    page.route("**/projects/1/causes", simulation)
    page.route("**/projects/1/schedule/outline", view)
    page.route("**/projects/1/activities?**", view)
    page.route("**/projects/1/away", view)
    return states


def whole(value: float) -> int:
    """Round as a page does: halves upwards, not to the even neighbour."""
    return floor(value + 0.5)


def unanswered(_: Route) -> None:
    """Leave a request without an answer."""


@pytest.mark.parametrize("sheet", ["schedule", "away"])
def test_the_likely_finish_stands_before_the_one_as_written(
    open_page: OpenPage, live_server: str, sheet: str
) -> None:
    result = found(live_server, "/simulation")
    page = open_page(f"/{sheet}", SIZES[0])
    wait_until_drawn(page)
    expected = [result["finish"]["p50"], result["finish"]["p80"], result["planned"]]
    assert dates_in(page, "#summary") == expected
    assert len(set(expected)) == 3, "the demo is uncertain, and likely later than written"


def test_the_table_and_the_task_sheet_tell_when_work_is_likely_done(
    open_page: OpenPage, live_server: str
) -> None:
    found(live_server, "/simulation")
    lines = answer(live_server, "/schedule")["activities"]
    task = max(
        (one for one in lines if one["kind"] == "task" and one["spread"]),
        key=lambda one: one["criticality"] < 0.99 and one["criticality"],
    )
    page = open_page("/schedule", SIZES[0])
    wait_until_drawn(page)
    page.get_by_text("All work as a table").click()
    page.get_by_label("Search").fill(task["id"])
    expect(page.locator(".turn").get_by_role("status")).to_have_text("1 to 1 of 1")
    row = page.get_by_role("row").filter(has=page.get_by_role("button", name=task["name"])).first
    in_row = [one.get_attribute("datetime") for one in row.locator("time").all()]
    spread = task["spread"]
    assert in_row == [task["start"], task["finish"], spread["p50"], spread["p80"]]
    hundredths = whole(task["criticality"] * 100)
    expect(row.get_by_role("cell").last).to_have_text(str(hundredths))
    row.get_by_role("button").click()
    dialog = page.get_by_role("dialog")
    expect(dialog).to_contain_text(
        f"On the path that sets the finish in {hundredths} of 100 courses."
    )
    expect(dialog.locator(".likely time")).to_have_attribute("datetime", spread["p50"])
    expect(dialog.locator(".by80 time")).to_have_attribute("datetime", spread["p80"])


@pytest.mark.parametrize("size", SIZES[::2], ids=name_of_size)
def test_who_to_chase_first_is_what_the_finish_would_gain_most_from(
    open_page: OpenPage, live_server: str, size: tuple[int, int]
) -> None:
    causes = found(live_server, "/causes")
    items = [one for one in causes if one["kind"] == "send_out" and one["gain_days"] >= 0.5]
    assert items, "in the demo some items can bring the finish forward"
    page = open_page("/away", size)
    take_role(page, "planner")
    entries = page.locator("ol.chase > li")
    expect(entries).to_have_count(len(items[:6]))
    for entry, item in zip(entries.all(), items, strict=False):
        expect(entry.get_by_role("heading")).to_have_text(item["name"])
        days = max(1, whole(item["gain_days"]))
        expect(entry).to_contain_text(f"{days}\u00a0day{'' if days == 1 else 's'} sooner")
        expect(entry.get_by_role("button", name=f"Log a call: {item['name']}")).to_be_visible()
    due = {one["send_out"] for one in answer(live_server, "/away")["chase"]}
    others = due - {one["id"] for one in items[:6]}
    expect(page.locator("ul.chase > li")).to_have_count(len(others))
    told = page.locator(".chase > li > h3").all_inner_texts()
    page.goto("/today")
    wait_until_drawn(page)
    expect(page.locator("#chase li h3")).to_have_text(told)
    expect(page.locator("#chase-count")).to_have_text(str(len(told)))
    days = max(1, whole(items[0]["gain_days"]))
    expect(page.locator("#chase li").first).to_contain_text(f"{days}\u00a0days sooner")


@pytest.mark.parametrize("sheet", ["today", "away"])
def test_what_a_call_brings_moves_no_line_until_the_reader_asks(
    open_page: OpenPage, live_server: str, sheet: str
) -> None:
    first = next(one for one in found(live_server, "/causes") if one["kind"] == "send_out")
    page = open_page(size=SIZES[0])
    page.route("**/projects/1/causes", lambda route: route.fulfill(json=RUNNING))
    page.goto(f"/{sheet}")
    wait_until_drawn(page)
    note, lines = page.locator(".chase-note"), page.locator(".chase > li > h3")
    expect(note).to_have_text("What a call brings is being computed.")
    due = [one["send_out"] for one in answer(live_server, "/today")["chase"]]
    expect(lines).to_have_count(len(due))
    before, top = lines.all_inner_texts(), lines.first.bounding_box()
    page.unroute("**/projects/1/causes")
    take = note.get_by_role("button", name="Put in that order")
    expect(take).to_be_visible()
    assert lines.all_inner_texts() == before
    assert lines.first.bounding_box() == top
    take.click()
    expect(lines.first).to_have_text(first["name"])
    expect(note).to_have_text("What brings the finish forward most comes first.")


def test_each_item_says_how_long_it_may_take_and_draws_it_only_when_asked(
    open_page: OpenPage, live_server: str
) -> None:
    leads = [one for one in found(live_server, "/simulation")["send_outs"] if one["lead"]]
    item = leads[0]
    page = open_page("/away", SIZES[2])
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.reload()
    wait_until_drawn(page)
    card = page.locator(f'[id="item-{item["id"]}"]')
    expect(card).to_contain_text(item["lead"]["sentence"])
    assert not [url for url in asked if "lead-time" in url]
    card.get_by_text("How long it may take").click()
    expect(card.locator(".lead-plot .main-svg").first).to_be_visible()
    assert [url for url in asked if f"lead-time?send_out={item['id']}" in url]
    assert faults(page) == []


def test_cases_are_compared_as_the_service_simulates_them(
    open_page: OpenPage, live_server: str
) -> None:
    change = {"kind": "vendor_late", "vendor": "V01", "days": 120}
    told = httpx.post(
        f"{live_server}/api/v1/projects/1/cases",
        json={"cases": [{"name": "Late", "changes": [change]}]},
        timeout=60,
    ).json()
    plan, case = told["plan"]["uncertainty"], told["cases"][0]["uncertainty"]
    page = open_page("/what-if?vendor=V01&days=120", SIZES[0])
    page.set_default_timeout(30_000)
    wait_until_drawn(page)

    def row(name: str) -> Any:
        return page.get_by_role("row").filter(has=page.get_by_role("rowheader", name=name)).first

    for name, level in (("Likely finish", "p50"), ("80\u00a0% by", "p80")):
        dates = [one.get_attribute("datetime") for one in row(name).locator("time").all()]
        assert dates == [plan["finish"][level], case["finish"][level]]
    mean = case["moved"]["mean_days"]
    expect(row("Finish moves on average")).to_contain_text(f"{whole(mean)}\u00a0days later")
    share = whole(case["moved"]["later"]["probability"] * 100)
    expect(row("Later than the plan")).to_contain_text(f"in {share} of 100 courses")
    expect(page.locator(".late-likely time")).to_have_attribute("datetime", case["finish"]["p50"])
    expect(page.locator(".late-by80 time")).to_have_attribute("datetime", case["finish"]["p80"])
    expect(page.locator("#curves .main-svg").first).to_be_visible()


def test_the_likely_finish_of_another_delay_is_not_the_one_before(open_page: OpenPage) -> None:
    """While the new case is compared the date before it is not left standing as if it held."""
    page = open_page("/what-if?vendor=V01&days=120", SIZES[0])
    page.set_default_timeout(30_000)
    wait_until_drawn(page)
    before = page.locator(".late-likely time").get_attribute("datetime")
    page.route("**/projects/1/cases", unanswered)
    page.get_by_label("Working days late", exact=True).fill("150")
    expect(page.locator(".late-by80")).to_have_text("being computed")
    expect(page.locator(".late-likely time")).to_have_count(0)
    page.unroute("**/projects/1/cases")
    page.get_by_label("Working days late", exact=True).fill("180")
    expect(page.locator(".late-likely time")).not_to_have_attribute("datetime", before or "")


def test_today_says_by_when_what_is_chased_may_be_back(
    open_page: OpenPage, live_server: str
) -> None:
    found(live_server, "/simulation")
    calls = answer(live_server, "/today")["chase"]
    items = {one["id"]: one["name"] for one in answer(live_server, "/today")["chased_items"]}
    page = open_page("/today", SIZES[2])
    wait_until_drawn(page)
    assert calls
    for call in calls:
        line = page.locator("#chase li").filter(has_text=items[call["send_out"]])
        expect(line).to_contain_text("8 chances in 10 to be back by")
        dates = [one.get_attribute("datetime") for one in line.locator("time").all()]
        assert call["back"]["p80"] in dates


def test_a_card_of_work_in_hand_has_its_likely_and_its_80_percent_date(
    open_page: OpenPage, live_server: str
) -> None:
    found(live_server, "/simulation")
    cards = answer(live_server, "/today")["in_work"]
    page = open_page("/today", SIZES[1])
    wait_until_drawn(page)
    uncertain = [one for one in cards if one["spread"]["p10"] != one["spread"]["p90"]]
    assert uncertain
    for card in uncertain:
        facts = page.locator(f"[data-task='{card['id']}'] .card-facts")
        expect(facts).to_contain_text("likely done")
        dates = [one.get_attribute("datetime") for one in facts.locator("time").all()]
        assert dates == [card["spread"]["p50"], card["spread"]["p80"]]


@pytest.mark.parametrize("sheet", ["schedule", "away"])
def test_while_it_is_computed_the_dates_as_written_stand_and_nothing_jumps_afterwards(
    open_page: OpenPage, live_server: str, sheet: str
) -> None:
    result = found(live_server, "/simulation")
    page = open_page(size=SIZES[0])
    states = as_if(page, RUNNING)
    page.goto(f"/{sheet}")
    wait_until_drawn(page)
    expect(page.locator("#summary")).to_contain_text("its spread is being computed")
    assert dates_in(page, "#summary") == [result["planned"]]
    expect(page.get_by_role("progressbar").first).to_be_visible()
    assert faults(page) == []
    heading = page.locator("main h2").first
    before = heading.bounding_box()

    states[0] = None

    expect(page.locator("#summary time").first).to_have_attribute(
        "datetime", result["finish"]["p50"]
    )
    expect(page.get_by_role("progressbar")).to_have_count(0)
    assert heading.bounding_box() == before


def test_what_the_reader_does_meanwhile_is_kept_when_the_spread_comes(
    open_page: OpenPage,
) -> None:
    """The dates in sight, the search in the table: the drawing is new, the view is the same."""
    page = open_page(size=SIZES[0])
    states = as_if(page, RUNNING)
    page.goto("/schedule")
    wait_until_drawn(page)
    page.get_by_role("button", name="Six weeks").click()
    page.get_by_text("All work as a table").click()
    page.get_by_label("Search").fill("spar")
    in_sight = "Object.values(document.querySelector('.lanes').dataset)"
    before = page.evaluate(in_sight)

    states[0] = None

    expect(page.locator("#summary")).to_contain_text("8 chances in 10")
    expect(page.get_by_role("button", name="Six weeks")).to_have_attribute("aria-pressed", "true")
    assert page.evaluate(in_sight) == before
    expect(page.get_by_label("Search")).to_have_value("spar")


@pytest.mark.parametrize("sheet", ["schedule", "away"])
def test_a_cancelled_spread_leaves_the_dates_as_written_and_a_way_to_start_again(
    open_page: OpenPage, sheet: str
) -> None:
    page = open_page(size=SIZES[2])
    as_if(page, CANCELLED)
    page.goto(f"/{sheet}")
    wait_until_drawn(page)
    expect(page.locator("#summary")).to_contain_text("If everything goes as written")
    expect(page.locator("#summary")).not_to_contain_text("being computed")
    expect(page.get_by_role("button", name="Start again").first).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[2][0]
    assert faults(page) == []


def test_a_plan_without_ranges_says_that_nothing_is_uncertain(
    open_page: OpenPage, live_server: str
) -> None:
    tasks = [{"id": "A", "name": "Rib", "days": 3}, {"id": "B", "name": "Spar", "days": 5}]
    project = bring_in(live_server, tasks=tasks, links=[{"from": "A", "to": "B"}])
    page = open_page(size=SIZES[0])
    open_project(page, "schedule", project)
    expect(page.locator("#summary")).to_contain_text("nothing in the plan is uncertain")
    expect(page.locator("#ranges")).to_contain_text("2 of 2 open tasks have no range of days")
    expect(page.locator(".lanes-taper")).to_have_count(2)
    for outline in page.locator(".lanes-taper").all():
        expect(outline).to_have_attribute("d", "")


def test_a_new_promise_moves_the_likely_finish_and_the_same_one_again_leaves_it(
    open_page: OpenPage, live_server: str
) -> None:
    """The second record changes nothing, so no new simulation is there to be waited for."""
    before = found(live_server, "/simulation")["finish"]
    page = open_page("/away", SIZES[0])
    take_role(page, "lead")
    likely = page.locator("#summary time").first

    def promise(day: str) -> None:
        page.get_by_role("button", name="New promise: Spar timber").click()
        page.get_by_label("Promised to leave the vendor on").fill(day)
        page.get_by_role("button", name="Record", exact=True).click()
        expect(page.get_by_role("dialog")).to_have_count(0)

    promise("2027-03-19")
    expect(page.locator("#summary")).to_contain_text("8 chances in 10", timeout=30_000)
    after = found(live_server, "/simulation")["finish"]
    assert after["p50"] > before["p50"]
    expect(likely).to_have_attribute("datetime", after["p50"], timeout=30_000)

    promise("2027-03-19")
    expect(page.locator("#notice")).to_contain_text("Nothing changed")
    expect(likely).to_have_attribute("datetime", after["p50"])
    expect(page.locator("#summary")).not_to_contain_text("being computed")
