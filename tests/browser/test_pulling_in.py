"""Pull it in: a wanted date, a sum of money, the list of ways, a case that becomes the plan."""

from __future__ import annotations

import httpx
import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import PHONE, OpenPage
from tests.browser.journeys import SIZES, answer, name_of_size, take_role, wait_until_drawn
from tests.browser.test_sheets import faults
from tests.browser.test_states import DAY, bring_in

WANTED = "2027-11-26"
PATIENCE_MS = 60_000
"""How long the search may take on a busy machine. [ms]"""


def panel(page: Page) -> Locator:
    """Return the section once the sheet is drawn."""
    wait_until_drawn(page)
    return page.locator("#pull-in")


def asked_by(page: Page, day: str) -> Locator:
    """Ask for a date; return the section once the answer and the curve are there."""
    place = panel(page)
    place.get_by_label("Finish by").fill(day)
    place.get_by_role("button", name="What does it take?").click()
    return answered(place)


def answered(place: Locator) -> Locator:
    """Return the section once its answer and its curve are drawn."""
    found = place.locator(".pull-sentence, .pull-refusal")
    expect(found).to_be_visible(timeout=PATIENCE_MS)
    expect(place.locator(".chart-canvas .main-svg").first).to_be_visible(timeout=PATIENCE_MS)
    return place


@pytest.mark.parametrize("size", SIZES[::2], ids=name_of_size)
def test_answer_curve_and_forms_fit_and_axe_finds_nothing(
    open_page: OpenPage, size: tuple[int, int]
) -> None:
    page = open_page(f"/what-if?by={WANTED}", size)
    take_role(page, "planner")
    place = answered(panel(page))
    expect(place.locator(".pull-likely time")).to_have_count(3, timeout=PATIENCE_MS)
    place.locator(".ways > summary").click()
    place.locator(".thing > summary").first.click()
    place.locator(".thing > summary").last.click()
    place.locator(".behind > summary").click()
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert faults(page) == []


def test_the_sheet_says_what_the_service_found(open_page: OpenPage, live_server: str) -> None:
    place = asked_by(open_page("/what-if"), WANTED)
    found = answer(live_server, "/pulling-in")["result"]
    told = place.locator(".pull-sentence")
    expect(told.locator("time")).to_have_attribute("datetime", found["answer"]["finish"])
    names = place.locator(".pull-answer tbody th").all_text_contents()
    assert names == [*(one["name"] for one in found["answer"]["taken"]), "Together"]
    place.locator(".behind > summary").click()
    rows = place.locator(".behind tbody tr")
    assert rows.count() == len(found["curve"])
    dates = rows.locator("th time").evaluate_all("all => all.map(one => one.dateTime)")
    assert dates == [one["finish"] for one in found["curve"]]


def test_a_sum_of_money_is_answered_and_stands_in_the_link(open_page: OpenPage) -> None:
    page = open_page("/what-if")
    place = panel(page)
    place.get_by_label("Sum in EUR").fill("1000")
    place.get_by_role("button", name="How early is that?").click()
    told = answered(place).locator(".pull-sentence").text_content()
    assert told is not None
    assert "EUR\xa0920" in told
    assert "budget=1000" in page.url
    other = open_page(page.url.removeprefix(page.evaluate("location.origin")), PHONE)
    expect(answered(panel(other)).locator(".pull-sentence")).to_have_text(told)


def test_a_date_out_of_reach_says_the_earliest_one(open_page: OpenPage, live_server: str) -> None:
    place = asked_by(open_page("/what-if"), "2027-05-31")
    found = answer(live_server, "/pulling-in")["result"]
    told = place.locator(".pull-refusal")
    expect(told).to_contain_text("cannot be reached")
    dates = told.locator("time").evaluate_all("all => all.map(one => one.dateTime)")
    assert dates == ["2027-05-31", found["earliest_finish"]]
    expect(place.get_by_role("button", name="Keep as a case")).to_have_count(0)


def test_an_answer_becomes_a_case_and_the_case_the_plan_and_back(
    open_page: OpenPage, live_server: str
) -> None:
    before = answer(live_server, "/schedule")["finish"]
    page = open_page("/what-if")
    take_role(page, "planner")
    place = asked_by(page, WANTED)
    reached = answer(live_server, "/pulling-in")["result"]["answer"]["finish"]
    place.get_by_role("button", name="Keep as a case").click()
    case = page.locator(".case")
    expect(case.locator(".changes > li")).to_have_count(
        len(answer(live_server, "/pulling-in")["result"]["answer"]["taken"])
    )
    expect(page.get_by_role("rowheader", name="Bought for it")).to_be_visible(timeout=PATIENCE_MS)
    assert answer(live_server, "/schedule")["finish"] == before
    case.get_by_role("button", name="Take it into the plan").click()
    page.get_by_role("dialog").get_by_role("button", name="Take it", exact=True).click()
    notice = page.locator("#notice")
    expect(notice).to_contain_text("Taken into the plan", timeout=PATIENCE_MS)
    assert answer(live_server, "/schedule")["finish"] == reached < before
    expect(case).to_have_count(0)
    notice.get_by_role("button", name="Undo").click()
    expect(notice).to_contain_text("Put back", timeout=PATIENCE_MS)
    assert answer(live_server, "/schedule")["finish"] == before
    expect(case).to_have_count(1)


def test_only_the_planner_is_offered_to_take_a_case_and_no_guess(open_page: OpenPage) -> None:
    late = '{"name":"Late","changes":[{"kind":"vendor_late","vendor":"V01","days":9}]}'
    taken = '{"name":"Sooner","changes":[{"kind":"expedite_taken","expedite":"E13","days":1}]}'
    page = open_page(f"/what-if?cases=[{late},{taken}]")
    take_role(page, "planner")
    button = page.get_by_role("button", name="Take it into the plan")
    expect(button).to_have_count(1)
    expect(page.locator(".case").first).to_contain_text("is a guess")
    take_role(page, "lead")
    expect(page.locator(".case")).to_have_count(2)
    expect(button).to_have_count(0)


def test_a_way_is_added_changed_and_taken_off_the_list(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page("/what-if")
    take_role(page, "planner")
    place = panel(page)
    place.locator(".ways > summary").click()
    place.locator(".thing > summary").last.click()
    adding = place.locator(".thing").last
    adding.get_by_role("button", name="Add it").click()
    expect(adding.locator(".error-summary")).to_contain_text("What is done")
    adding.get_by_label("What is done").fill("Tail wheel: an evening shift")
    adding.get_by_label("What becomes shorter").select_option("task:F35.3")
    adding.get_by_label("Days it takes off").fill("2")
    adding.get_by_label("Cost").fill("200")
    adding.get_by_role("button", name="Add it").click()
    expect(page.locator("#notice")).to_contain_text("Added: Tail wheel", timeout=PATIENCE_MS)
    entry = place.locator(".thing").filter(has_text="Tail wheel: an evening shift").first
    made = answer(live_server, "/expedites")["expedites"][-1]
    assert (made["task"], made["gains_days"], made["cost"]) == ("F35.3", 2, "200")
    entry.locator("summary").click()
    entry.get_by_label("Cost").fill("210.50")
    entry.get_by_role("button", name="Save").click()
    expect(page.locator("#notice")).to_contain_text("Saved: Tail wheel", timeout=PATIENCE_MS)
    assert answer(live_server, f"/expedites/{made['id']}")["cost"] == "210.50"
    entry.get_by_role("button", name="Take out of the plan").click()
    expect(page.locator("#notice")).to_contain_text("Taken out: Tail wheel", timeout=PATIENCE_MS)
    ids = [one["id"] for one in answer(live_server, "/expedites")["expedites"]]
    assert made["id"] not in ids


def test_without_expedites_the_sheet_says_what_to_enter(
    open_page: OpenPage, live_server: str
) -> None:
    number = bring_in(live_server, tasks=[{"id": "A", "name": "Strip", "days": 3}])
    page = open_page(f"/what-if?project={number}")
    take_role(page, "planner")
    place = panel(page)
    expect(place.locator(".empty-state")).to_contain_text("Enter the first below")
    expect(place.get_by_label("What is done")).to_be_hidden()
    place.get_by_text("Add a way to buy days").click()
    expect(place.get_by_label("What is done")).to_be_visible()
    take_role(page, "owner")
    expect(place.locator(".empty-state")).to_contain_text("The shop lead or the planner")
    expect(place.locator(".ways")).to_have_count(0)


def test_a_plan_without_a_target_offers_its_own_finish(
    open_page: OpenPage, live_server: str
) -> None:
    """Three working days from the as-of date: its own finish is offered, and costs nothing."""
    one = {"id": "E1", "name": "Evening", "task": "A", "gains_days": 1, "cost": "50"}
    number = bring_in(live_server, tasks=[{"id": "A", "name": "Strip", "days": 3}], expedites=[one])
    page = open_page(f"/what-if?project={number}")
    take_role(page, "planner")
    root = f"{live_server}/api/v1/projects/{number}"
    finish = httpx.get(f"{root}/schedule").json()["finish"]
    assert finish > DAY
    expect(panel(page).get_by_label("Finish by")).to_have_value(finish)
    panel(page).get_by_role("button", name="What does it take?").click()
    expect(panel(page).locator(".pull-sentence")).to_contain_text("Nothing to buy")
