"""Every sheet, at every size: complete, accessible, within its window, quiet in the console."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, ViewportSize, expect

from ribstitch.charts.paper import short_words, words
from tests.browser.conftest import OpenPage
from tests.browser.journeys import SHEETS, SIZES, answer, name_of_size, wait_until_drawn

TAB_STOPS = 600
HALF = ViewportSize(width=720, height=450)
"""What a desk's window zoomed to 200 % has. [CSS pixels]"""
ROOM_BESIDE = 992
"""A narrower title block takes the whole of its strip. [CSS pixels]"""
STRIP = "(place) => document.querySelector('.title-block')?.style.setProperty('position', place)"


def faults(
    page: Page,
    context: str | None = None,
    rules: Mapping[str, object] | None = None,
    **options: object,
) -> list[str]:
    """
    Return what axe finds, each with the elements it names; rules and options are its own.

    The size of targets (WCAG 2.2, 2.5.8) is looked at as well: axe leaves it out unless told. The
    title block is put at the end meanwhile: a target that is half under it is one scroll away.
    Without `preload` axe adds no style sheets of its own, which the content policy refuses.
    It lists nothing of what is as it should be: to write that down takes longer than to look.
    """
    looked_at = {"target-size": {"enabled": True}, **(rules or {})}
    how = {"preload": False, "resultTypes": ["violations"], "rules": looked_at, **options}
    page.evaluate(STRIP, "static")
    found = Axe().run(page, context, options=how).response["violations"]
    page.evaluate(STRIP, "")
    return [f"{one['id']}: {[node['target'] for node in one['nodes']][:5]}" for one in found]


@pytest.mark.parametrize("size", SIZES, ids=name_of_size)
@pytest.mark.parametrize("sheet", SHEETS)
def test_sheet_and_its_title_block_are_complete_and_axe_finds_nothing(
    open_page: OpenPage, live_server: str, sheet: str, size: tuple[int, int]
) -> None:
    """At a desk and on a tablet by day; on a phone by night, with contrasts of its own."""
    page = open_page(f"/{sheet}", size, light="dark" if size == SIZES[2] else "light")
    wait_until_drawn(page)
    assert page.get_by_role("heading", level=1).count() == 1
    assert page.get_by_role("alert").filter(has_text="could not").count() == 0
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    expect(page.locator(".set-index [aria-current]")).to_be_in_viewport(ratio=0.99)
    check_title_block(page, answer(live_server, "/title-block"))
    by_day_again = {"color-contrast": {"enabled": size != SIZES[1]}}
    assert faults(page, rules=by_day_again) == []
    if size == SIZES[0]:
        page.set_viewport_size(HALF)
        assert page.evaluate("document.documentElement.scrollWidth") <= HALF["width"]


def check_title_block(page: Page, block: dict[str, str]) -> None:
    """See both dates and the band in it, and no work half hidden beside it."""
    cell = page.locator(".title-block .finish")
    expect(cell.locator(".value time")).to_have_attribute("datetime", block["likely"])
    expect(cell.locator(".note time")).to_have_attribute("datetime", block["by80"])
    expect(cell.locator("svg.date-band")).to_be_visible()
    width = cell.locator("svg.date-band").evaluate("node => node.getBoundingClientRect().width")
    assert width >= 30
    assert page.locator(".title-block dl").evaluate("node => node.scrollWidth <= node.clientWidth")
    way = cell.get_by_role("link")
    assert way.count() == (0 if page.url.endswith("/forecast") else 1)
    if way.count():
        expect(way).to_have_attribute("href", "/forecast")
    size = page.viewport_size
    if size is not None and size["width"] < ROOM_BESIDE:
        starts = "node => node.offsetLeft"
        assert page.locator(".title-block dl").evaluate(starts) == 0, "no empty cell before it"
    alone = page.evaluate("""() => {
      const strip = document.querySelector(".title-block");
      const box = strip.getBoundingClientRect();
      const y = box.top + box.height / 2;
      return [0.05, 0.3, 0.6, 0.95].every((share) =>
        strip.contains(document.elementFromPoint(share * innerWidth, y)));
    }""")
    assert alone, "along the lower edge of the frame there is the strip of the title block alone"


def names_by_tab(page: Page) -> list[str]:
    """Return the names of what the Tab key reaches, in order, once round."""
    names: list[str] = []
    page.evaluate("document.activeElement?.blur()")
    for _ in range(TAB_STOPS):
        page.keyboard.press("Tab")
        name = page.evaluate("""() => {
          const node = document.activeElement;
          if (!node || node === document.body) return null;
          return node.getAttribute("aria-label") ?? node.labels?.[0]?.textContent
            ?? node.textContent;
        }""")
        if name is None:
            break
        names.append(name.strip())
    return names


@pytest.mark.parametrize(
    ("sheet", "actions"),
    [
        ("today", ["Done", "Hold"]),
        ("schedule", ["Zone", "Trade", "A quarter", "Later →", "All work as a table"]),
        ("away", ["Log a call", "Left the vendor", "New promise"]),
        ("crew", ["Look for a better order", "Work it out", "Let them go", "Print this week"]),
        ("what-if", ["What is late", "Working days late", "Keep as a case", "Start an empty case"]),
        ("forecast", ["Print this sheet", "Why this date"]),
    ],
)
def test_the_tab_key_reaches_every_main_action(
    open_page: OpenPage, sheet: str, actions: list[str]
) -> None:
    page = open_page(f"/{sheet}", SIZES[0])
    wait_until_drawn(page)
    names = names_by_tab(page)
    for action in actions:
        assert any(name.startswith(action) for name in names), f"{action} is not among {names}"


def test_a_task_opens_from_the_table_by_keyboard_and_the_focus_comes_back(
    open_page: OpenPage,
) -> None:
    page = open_page("/schedule", SIZES[0])
    wait_until_drawn(page)
    page.get_by_text("All work as a table").press("Enter")
    page.get_by_label("Search").fill("spar")
    task = page.get_by_role("region", name="Work with dates").locator("button.link").first
    expect(task).to_contain_text("spar")
    name = task.text_content() or ""
    task.press("Enter")
    dialog = page.get_by_role("dialog")
    expect(dialog.get_by_role("heading", name=name).first).to_be_visible()
    page.keyboard.press("Escape")
    expect(dialog).to_have_count(0)
    assert task.evaluate("node => node === document.activeElement")


def test_a_zone_narrows_drawing_and_table_and_stays_in_the_address(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page("/schedule", SIZES[0])
    wait_until_drawn(page)
    page.get_by_label("Zone", exact=True).select_option("tail")
    expect(page.locator("#lanes svg").get_by_text("Left wing")).to_have_count(0)
    expect(page.locator("#lanes svg").get_by_text("Tail")).not_to_have_count(0)
    assert "zone=tail" in page.url
    page.get_by_text("All work as a table").click()
    of_tail = [
        one for one in answer(live_server, "/schedule")["activities"] if one["zone"] == "tail"
    ]
    expect(page.locator(".turn").get_by_role("status")).to_contain_text(f"of {len(of_tail)}")


def test_six_weeks_are_six_weeks_around_the_as_of_date(open_page: OpenPage) -> None:
    page = open_page("/schedule", SIZES[2])
    wait_until_drawn(page)
    page.get_by_role("button", name="Six weeks").click()
    drawing = page.locator("#lanes .chart-canvas")
    expect(drawing).to_have_attribute("data-first", "2026-10-03")
    expect(drawing).to_have_attribute("data-last", "2026-11-14")


def test_charts_write_dates_as_the_pages_do(open_page: OpenPage) -> None:
    """The weeks along an axis are told by the page, the other dates by the service."""
    page = open_page("/schedule", SIZES[0])
    wait_until_drawn(page)
    days = [date(2026, month, 9) for month in range(1, 13)]
    by_page = page.evaluate(
        """async (days) => {
            const { formatDate } = await import("/assets/js/lib/format.js");
            return days.map((day) => [formatDate(day, "long"), formatDate(day)]);
        }""",
        [day.isoformat() for day in days],
    )
    plain = [[text.replace("\xa0", " ") for text in texts] for texts in by_page]
    assert plain == [[words(day), short_words(day)] for day in days]
    page.get_by_role("button", name="Six weeks").click()
    page.get_by_role("button", name="Earlier").click(click_count=2)
    axis = page.locator(".lanes-date").all_text_contents()
    assert {"7\xa0Sept", "28\xa0Sept", "2026"} <= set(axis), axis


def test_a_bar_tells_its_dates_and_opens_the_sheet_of_its_task(
    open_page: OpenPage, live_server: str
) -> None:
    """All bars of a state are one outline: which of them was meant is found by where it stands."""
    page = open_page("/schedule", SIZES[0])
    wait_until_drawn(page)
    page.get_by_role("button", name="Six weeks").click()
    bars = page.locator(".lanes-bars").last
    left, top, right, bottom = (
        float(one)
        for one in re.findall(r"[\d.]+", (bars.get_attribute("d") or "").split("Z")[0])[:4]
    )
    drawing = page.locator("#lanes .lanes")
    drawing.hover(position={"x": (left + right) / 2, "y": (top + bottom) / 2})
    expect(page.locator(".lanes-told")).to_be_visible()
    name, *dates, state = page.locator(".lanes-told > div").all_text_contents()
    assert name in {one["name"] for one in answer(live_server, "/schedule")["activities"]}
    assert "2026" in " ".join(dates)
    assert state.startswith("not started; ")
    drawing.click(position={"x": (left + right) / 2, "y": (top + bottom) / 2})
    expect(page.get_by_role("dialog").get_by_role("heading", name=name).first).to_be_visible()


def test_on_paper_the_lanes_stand_in_pages_each_under_its_dates(open_page: OpenPage) -> None:
    """No bar is lost or drawn twice, and no page is higher than a sheet of paper that lies."""
    page = open_page("/schedule", SIZES[0])
    wait_until_drawn(page)
    drawn = """() => [...document.querySelectorAll("#lanes .lanes > svg")].map((sheet) => ({
        height: Number(sheet.getAttribute("height")),
        dates: [...sheet.querySelectorAll(".lanes-date")].map((one) => one.textContent),
        names: [...sheet.querySelectorAll(".lanes-name")].map((one) => one.textContent),
        bars: [...sheet.querySelectorAll(".lanes-bars")].map((one) =>
            one.getAttribute("d").split("Z").length - 1),
    }))"""
    (whole,) = page.evaluate(drawn)
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    pages = page.evaluate(drawn)
    assert len(pages) > 2
    assert max(one["height"] for one in pages) <= 684, "A4 that lies, without its margins"
    assert all(one["dates"] == pages[0]["dates"] for one in pages)
    assert [sum(counts) for counts in zip(*(one["bars"] for one in pages), strict=True)] == whole[
        "bars"
    ]
    told = [name for one in pages for name in one["names"]]
    assert [name for name in told if not name.endswith(", continued")] == whole["names"]
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    assert page.evaluate(drawn) == [whole]


def test_a_chart_keeps_its_height_when_the_window_changes(open_page: OpenPage) -> None:
    page = open_page("/schedule", SIZES[1])
    wait_until_drawn(page)
    canvas = page.locator("#lanes .chart-canvas")
    height = canvas.bounding_box()
    page.set_viewport_size({"width": 1112, "height": 834})
    expect(page.locator("#lanes .lanes > svg")).not_to_have_attribute("width", "0")
    after = canvas.bounding_box()
    assert height is not None
    assert after is not None
    assert after["height"] == height["height"]
