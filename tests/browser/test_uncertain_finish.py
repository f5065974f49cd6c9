"""How sure the finish is, on the pages: worked out, not yet, cancelled, failed, certain."""

from __future__ import annotations

import json
from typing import Any

import pytest
from playwright.sync_api import Page, Route, expect

from tests.browser.conftest import OpenPage
from tests.browser.journeys import SIZES, answer, name_of_size, take_role, wait_until_drawn
from tests.browser.test_sheets import faults
from tests.browser.test_states import LONG, MARKUP, bring_in, open_project

_LOW = 100
"""A notice with two buttons and three lines of words. [CSS pixels]"""


class Fake:
    """Answers about the simulation instead of the service, which is too quick to be watched."""

    def __init__(self, page: Page, state: str = "running", reason: str = "") -> None:
        self.state = state
        self.reason = reason
        self.progress = 0.2
        self.asked: list[str] = []
        page.route("**/api/v1/projects/*/simulation", self._answer)
        page.route("**/api/v1/projects/*/title-block", self._title_block)

    def _answer(self, route: Route) -> None:
        method = route.request.method
        self.asked.append(method)
        if method == "DELETE":
            self.state = "cancelled"
        if method == "POST":
            self.state = "running"
        if self.state == "ready":
            route.continue_()
            return
        route.fulfill(
            json={
                "plan_version": 1,
                "state": self.state,
                "progress": self.progress,
                "reason": self.reason,
                "result": None,
            }
        )

    def _title_block(self, route: Route) -> None:
        block = json.loads(route.fetch().text())
        if self.state != "ready":
            block |= dict.fromkeys(("likely", "by80", "p10", "p90", "chance_of_target"))
        route.fulfill(json=block)


def open_forecast(open_page: OpenPage, state: str, **more: Any) -> tuple[Page, Fake]:
    """Open the forecast with a simulation in a state; what was asked to draw it is forgotten."""
    page = open_page(size=SIZES[0])
    fake = Fake(page, state, **more)
    page.goto("/forecast")
    wait_until_drawn(page)
    return page, fake


def test_while_it_is_worked_out_the_page_says_how_far_it_is(
    open_page: OpenPage, live_server: str
) -> None:
    page, fake = open_forecast(open_page, "running")
    written = answer(live_server, "/title-block")["finish"]
    expect(page.locator(".answer-date time")).to_have_attribute("datetime", written)
    expect(page.locator(".answer-label")).to_contain_text("if everything goes as written")
    expect(page.locator("#sure")).to_be_hidden()
    bar = page.get_by_role("progressbar", name="Working out how sure that is")
    expect(bar).to_have_js_property("value", 0.2)
    block = page.locator(".title-block .finish")
    expect(block).to_contain_text("spread being computed")
    expect(block.locator("time")).to_have_attribute("datetime", written)
    assert faults(page) == []

    fake.progress = 0.7
    expect(bar).to_have_js_property("value", 0.7)
    fake.state = "ready"
    expect(page.locator("#spread-state")).to_be_hidden()
    likely = answer(live_server, "/simulation")["result"]["finish"]
    expect(page.locator(".answer-date time")).to_have_attribute("datetime", likely["p50"])
    expect(block.locator(".value time")).to_have_attribute("datetime", likely["p50"])
    expect(block.locator(".note time")).to_have_attribute("datetime", likely["p80"])


def test_after_a_change_the_last_likely_finish_stands_until_the_new_one_is_known(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page(size=SIZES[2])
    fake = Fake(page, "ready")
    page.goto("/today")
    take_role(page, "lead")
    cell = page.locator(".title-block .finish")
    expect(cell.locator("dt")).to_contain_text("Likely finish")
    before, strip = cell.locator(".value").inner_text(), page.locator(".title-block").bounding_box()
    fake.state = "running"
    card = page.locator("article.card[data-state='in_work']").first
    card.get_by_role("button", name="Done").click()
    expect(cell.locator(".note")).to_have_text("being computed anew")
    expect(cell.locator("dt")).to_contain_text("Likely finish")
    assert cell.locator(".value").inner_text() == before
    assert page.locator(".title-block").bounding_box() == strip
    notice = page.locator("#notice").bounding_box()
    assert notice
    assert notice["height"] <= _LOW, "on a telephone it leaves the work in sight"
    fake.state = "ready"
    expect(cell.locator(".note")).to_contain_text("80\u00a0% by")
    likely = answer(live_server, "/title-block")["likely"]
    expect(cell.locator(".value time")).to_have_attribute("datetime", likely)
    page.locator("#notice").get_by_role("button", name="Undo").click()
    expect(page.locator("#notice")).to_contain_text("Put back")


def test_it_can_be_cancelled_and_started_again_by_keyboard(open_page: OpenPage) -> None:
    page, fake = open_forecast(open_page, "running")
    page.get_by_role("button", name="Cancel").press("Enter")
    expect(page.locator("#spread-state")).to_contain_text("that was cancelled")
    expect(page.locator(".title-block .finish")).to_contain_text("spread not computed")
    assert "DELETE" in fake.asked
    assert faults(page) == []

    page.get_by_role("button", name="Start again").press("Enter")
    expect(page.get_by_role("progressbar")).to_be_visible()
    assert "POST" in fake.asked
    fake.state = "ready"
    expect(page.locator("#sure")).to_be_visible()


def test_a_cancelled_one_is_not_asked_for_again_and_again(open_page: OpenPage) -> None:
    """Ten seconds go by on the page's own clock; a later answer says that none is on its way."""
    page, fake = open_forecast(open_page, "cancelled")
    page.clock.install()
    page.reload()
    wait_until_drawn(page)
    asked = len(fake.asked)
    page.clock.run_for(10_000)
    page.evaluate("fetch('/api/v1/health').then((answer) => answer.json())")
    assert len(fake.asked) == asked
    page.context.close()  # its clock cannot be set going again for another test


def test_a_failure_is_told_in_a_sentence_and_the_plan_stays_in_sight(
    open_page: OpenPage, live_server: str
) -> None:
    page, _ = open_forecast(open_page, "failed", reason="There was no memory left for it.")
    state = page.locator("#spread-state")
    expect(state).to_contain_text("could not be worked out")
    expect(state).to_contain_text("There was no memory left for it.")
    expect(state.get_by_role("button", name="Start again")).to_be_visible()
    written = answer(live_server, "/title-block")["finish"]
    expect(page.locator(".answer-date time")).to_have_attribute("datetime", written)


def test_the_causes_stand_in_order_with_their_days(open_page: OpenPage, live_server: str) -> None:
    page = open_page("/forecast", SIZES[0])
    wait_until_drawn(page)
    page.locator("#uncertain > summary").click()
    expect(page.locator(".causes li").first).to_be_visible(timeout=30_000)
    causes = answer(live_server, "/causes")["result"]
    sentences = page.locator(".cause-sentence").all_text_contents()
    assert sentences == [one["sentence"] for one in causes[: len(sentences)]]
    bars = page.locator(".causes .days-line").evaluate_all("all => all.map(one => one.ariaLabel)")
    days = [int(bar.split("\u00a0")[0]) for bar in bars]
    assert days == sorted(days, reverse=True)
    assert days[0] == round(causes[0]["gain_days"])
    page.get_by_text("All causes as a table").click()
    rows = page.get_by_role("region", name="All causes").locator("tbody tr")
    expect(rows).to_have_count(len(causes))
    assert faults(page) == []


def test_each_milestone_has_a_likely_and_an_80_percent_date(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page("/forecast", SIZES[0])
    wait_until_drawn(page)
    found = answer(live_server, "/simulation")["result"]["milestones"]
    for one in found:
        row = page.locator("#milestones tr", has=page.get_by_text(one["name"], exact=True))
        shown = row.locator("time").evaluate_all("all => all.map(time => time.dateTime)")
        assert shown == [one["p50"], one["p80"], one["planned"]]


def test_a_plan_without_ranges_has_one_date_and_says_how_to_say_more(
    open_page: OpenPage, live_server: str
) -> None:
    project = bring_in(live_server, tasks=[{"id": "A", "name": "Only one", "days": 3}])
    page = open_page(size=SIZES[2])
    open_project(page, "forecast", project)
    expect(page.locator(".answer-date time")).to_have_attribute("datetime", "2026-10-07")
    expect(page.locator(".answer-honest")).to_contain_text("nothing uncertain reaches the finish")
    expect(page.locator("#sure")).to_be_hidden()
    expect(page.locator("#uncertain")).to_be_hidden()
    expect(page.locator(".title-block .finish dt")).to_have_text("Finish")
    assert faults(page) == []


@pytest.mark.parametrize("size", SIZES[::2], ids=name_of_size)
def test_causes_with_odd_names_are_text_and_stay_within_the_window(
    open_page: OpenPage, live_server: str, size: tuple[int, int]
) -> None:
    wide = {"days": 20, "days_range": [10, 20, 80]}
    project = bring_in(
        live_server,
        tasks=[{"id": "A", "name": LONG, **wide}, {"id": "B", "name": MARKUP, **wide}],
        links=[{"from": "A", "to": "B"}],
    )
    page = open_page(size=size)
    open_project(page, "forecast", project)
    expect(page.locator(".causes li")).to_have_count(2, timeout=30_000)
    expect(page.locator("#causes")).to_contain_text(MARKUP)
    assert page.locator("main img").count() == 0
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert faults(page) == []


def test_the_dates_of_the_pages_are_those_of_one_simulation(live_server: str) -> None:
    """What the title block shows is what the forecast sheet shows."""
    block, found = answer(live_server, "/title-block"), answer(live_server, "/simulation")["result"]
    assert [block[one] for one in ("p10", "likely", "by80", "p90")] == [
        found["finish"][one] for one in ("p10", "p50", "p80", "p90")
    ]
    assert block["chance_of_target"] == found["target"]["probability"]
