"""The planner's minimal day: a vendor is late, and the finish is what the command prints."""

from __future__ import annotations

from typing import Any
from urllib.parse import quote

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import OpenPage
from tests.browser.journeys import (
    SIZES,
    exported_plan,
    name_of_size,
    take_role,
    told_by_command,
    wait_until_drawn,
)

LATE = [("V01", 30), ("V01", 120), ("V12", 30), ("V09", 175)]
"""Within the engine vendor's grace, beyond it, and two vendors with little or much of it."""

AS_WRITTEN = "Finish as written"


def days_field(page: Page) -> Locator:
    """Return the number beside the slider."""
    return page.get_by_label("Working days late", exact=True)


def shown(page: Page) -> tuple[str | None, int]:
    """Return the finish date on the sheet and by how many days it says it moved."""
    finish = page.locator(".late-finish time").get_attribute("datetime")
    return finish, int(page.locator(".late-moved").get_attribute("data-moved") or "")


@pytest.fixture(scope="module")
def told_late(live_server: str, tmp_path_factory: pytest.TempPathFactory) -> list[Any]:
    """Return what the command prints of each lateness, asked once for all sizes."""
    plan = exported_plan(live_server, tmp_path_factory.mktemp("plan"))
    return [told_by_command("whatif", plan, "--late", f"{vendor}={days}") for vendor, days in LATE]


@pytest.mark.parametrize("size", SIZES, ids=name_of_size)
def test_a_late_vendor_moves_the_finish_by_what_whatif_prints(
    open_page: OpenPage, told_late: list[Any], size: tuple[int, int]
) -> None:
    page = open_page("/what-if", size)
    take_role(page, "planner")
    moved = []
    for (vendor, days), told in zip(LATE, told_late, strict=True):
        page.get_by_label("What is late").select_option(f"vendor:{vendor}")
        days_field(page).fill(str(days))
        finish = page.locator(".late-finish time")
        expect(finish).to_have_attribute("datetime", told["case"]["finish"])
        assert shown(page) == (told["case"]["finish"], told["moved_days"])
        moved.append(told["moved_days"])
    assert moved[0] == 0, "30 days are within the engine vendor's grace"
    assert all(moved[1:]), "the other cases are there because they move the finish"


def test_the_table_agrees_with_the_slider(open_page: OpenPage, told_late: list[Any]) -> None:
    told = told_late[1]
    vendor, days = LATE[1]
    page = open_page(f"/what-if?vendor={vendor}&days={days}", SIZES[0])
    take_role(page, "planner")
    row = page.get_by_role("row").filter(has=page.get_by_role("rowheader", name=AS_WRITTEN))
    dates = row.first.locator("time")
    expect(dates.nth(0)).to_have_attribute("datetime", told["plan"]["finish"])
    expect(dates.nth(1)).to_have_attribute("datetime", told["case"]["finish"])


def test_the_mark_on_the_curve_stays_by_night_and_on_paper(open_page: OpenPage) -> None:
    page = open_page("/what-if?vendor=V01&days=70", SIZES[0])
    wait_until_drawn(page)
    marked = """() => {
      const canvas = document.querySelector("#late .chart-canvas");
      const at = (sought) => canvas.data.find(({ name }) => name === sought)?.x;
      return [at("position"), at("levels")];
    }"""
    page.wait_for_function(f"({marked})()[1].length === 2")
    before = page.evaluate(marked)
    assert before[0][0] == 70
    assert before[1] == [70, 70]
    page.emulate_media(color_scheme="dark")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    assert page.evaluate(marked) == before
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    assert page.evaluate(marked) == before


def test_the_slider_asks_the_service_for_no_curve_while_it_moves(open_page: OpenPage) -> None:
    page = open_page("/what-if?vendor=V01&days=70", SIZES[0])
    wait_until_drawn(page)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    slider = page.get_by_role("slider")
    slider.focus()
    seen = []
    for _ in range(10):
        slider.press("ArrowRight")
        seen.append(shown(page)[1])
    assert days_field(page).input_value() == "80"
    assert seen == sorted(seen)
    assert seen[0] == 0
    assert seen[-1] > 0
    assert not [url for url in asked if "late-curve" in url]


def test_a_kept_case_stands_beside_the_plan_and_survives_in_its_link(
    open_page: OpenPage,
) -> None:
    page = open_page("/what-if?vendor=V12&days=60", SIZES[0])
    take_role(page, "planner")
    page.get_by_role("button", name="Keep as a case").click()
    page.get_by_label("Add a change to Case A").select_option("extra_days")
    header = page.get_by_role("columnheader", name="Case A")
    expect(header).to_be_visible()
    row = page.get_by_role("row").filter(has=page.get_by_role("rowheader", name=AS_WRITTEN)).first
    expect(row.locator("time")).to_have_count(3)
    dates = [one.get_attribute("datetime") for one in row.locator("time").all()]

    other = open_page(page.url.removeprefix(page.evaluate("location.origin")), SIZES[2])
    wait_until_drawn(other)
    row = other.get_by_role("row").filter(has=other.get_by_role("rowheader", name=AS_WRITTEN)).first
    expect(row.locator("time")).to_have_count(3)
    assert [one.get_attribute("datetime") for one in row.locator("time").all()] == dates
    assert other.get_by_label("Name of the case").input_value() == "Case A"


def test_a_link_that_cannot_be_read_says_so_and_the_sheet_still_works(
    open_page: OpenPage,
) -> None:
    page = open_page("/what-if?vendor=V01&days=120&cases=[oops", SIZES[0])
    wait_until_drawn(page)
    expect(page.get_by_role("status").filter(has_text="cannot be read")).to_be_visible()
    assert shown(page)[1] > 0


def test_a_link_to_a_vendor_who_is_gone_does_not_show_another_one(open_page: OpenPage) -> None:
    """The slot names what the link says, so that nobody reads another vendor's name."""
    change = '{"kind":"vendor_swapped","send_out":"S10","vendor":"V99","lead_days":10}'
    page = open_page("/what-if", SIZES[0])
    wait_until_drawn(page)
    page.route(
        "**/cases",
        lambda route: route.fulfill(
            json={"plan": {"finish": "2027-12-31", "critical_path": []}, "cases": []}
        ),
    )
    cases = quote(f'[{{"name":"Old","changes":[{change}]}}]')
    page.goto(f"/what-if?cases={cases}")
    expect(page.get_by_label("Other vendor")).to_have_value("V99")
