"""Axe looks at the states that a sheet gets into when it is used, and at each look of it."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import Light, OpenPage
from tests.browser.journeys import SIZES, open_as, wait_until_drawn
from tests.browser.test_sheets import faults

SAME_COLOURS = {"color-contrast": {"enabled": False}}
"""The colours of a state are those of its sheet, where they are looked at: that takes longest."""

State = tuple[str, Callable[[Page], Locator]]


def dialog(page: Page, button: str) -> Locator:
    """Open the dialog behind the first button of that name."""
    page.get_by_role("button", name=button).first.click()
    return page.get_by_role("dialog")


def asks(button: str) -> State:
    """Return the state in which the dialog behind a button is open."""
    return button, lambda page: dialog(page, button)


def refused(page: Page) -> Locator:
    """Hold a task without a reason."""
    opened = dialog(page, "Hold:")
    opened.get_by_role("button", name="Hold the task").click()
    expect(opened.get_by_role("alert").filter(has_text="Not saved yet")).to_be_visible()
    return opened


def hours(page: Page) -> Locator:
    """Unfold the form for hours."""
    page.get_by_role("button", name="Hours:").first.click()
    return page.locator(".hours-form")


def task(page: Page) -> Locator:
    """Open the sheet of a task."""
    page.locator(".card-name button").first.click()
    return page.get_by_role("dialog")


def unfolded(page: Page) -> Locator:
    """Unfold everything that unfolds."""
    page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    return page.locator("details[open] > :not(summary)").first


def case(page: Page) -> Locator:
    """Keep a case beside the plan."""
    page.get_by_role("button", name="Keep as a case").click()
    expect(page.get_by_role("columnheader", name="Case A")).to_be_visible()
    return page.locator("fieldset.case")


def decision(page: Page) -> Locator:
    """Begin to say no."""
    page.get_by_role("button", name="Decline…").first.click()
    return page.locator(".decision-answer form")


STATES: dict[str, list[State]] = {
    "today": [
        asks("Hold:"), ("refused", refused), asks("Days left:"), asks("Found something"),
        ("hours", hours), ("task", task),
    ],
    "away": [asks("Log a call"), asks("New promise"), asks("Left the vendor"), ("all", unfolded)],
    "schedule": [("all", unfolded)],
    "crew": [("all", unfolded)],
    "what-if": [("case", case)],
    "forecast": [("all", unfolded)],
    "money": [("no", decision), ("all", unfolded)],
    "records": [asks("Sign off")],
    "evaluation": [("all", unfolded)],
}  # fmt: skip


@pytest.mark.parametrize("sheet", STATES)
def test_axe_finds_nothing_in_any_state_on_a_tablet(open_page: OpenPage, sheet: str) -> None:
    role = "owner" if sheet in ("money", "forecast") else "planner"
    page = open_as(open_page, role, f"/{sheet}", SIZES[1])
    for name, reach in STATES[sheet]:
        expect(reach(page).first, name).to_be_visible()
        opened = "dialog[open]" if page.get_by_role("dialog").count() else None
        assert faults(page, opened, SAME_COLOURS) == [], name
        assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[1][0], name
        page.keyboard.press("Escape")
        expect(page.get_by_role("dialog")).to_have_count(0)


@pytest.mark.parametrize(
    ("sheet", "light", "media"),
    [
        ("today", "dark", {}),
        ("money", "dark", {}),
        ("today", "light", {"media": "print"}),
        ("forecast", "light", {"media": "print"}),
        ("today", "dark", {"forced_colors": "active"}),
        ("schedule", "light", {"forced_colors": "active"}),
    ],
    ids=lambda one: "-".join(one.values()) if isinstance(one, dict) else one,
)
def test_axe_finds_nothing_by_night_on_paper_and_in_the_readers_colours(
    open_page: OpenPage, sheet: str, light: Light, media: dict[str, str]
) -> None:
    page = open_page(size=SIZES[1], light=light)
    page.emulate_media(**media)  # type: ignore[arg-type]
    page.goto(f"/{sheet}")
    wait_until_drawn(page)
    assert faults(page) == []
