"""Plan health on the Settings sheet: found, opened, printed, its limits changed and put back."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import PHONE, OpenPage
from tests.browser.journeys import SIZES, answer, name_of_size, take_role, wait_until_drawn
from tests.browser.test_sheets import faults
from tests.browser.test_states import bring_in

HERE = "/settings#plan-health"


def section(page: Page) -> Any:
    """Return the section once it is drawn."""
    wait_until_drawn(page)
    return page.locator("#plan-health")


def unfold(page: Page) -> None:
    """Unfold every group, and the first finding of each."""
    for group in section(page).locator(".health-group:not([data-key='beyond']) > summary").all():
        group.click()
    for name in ("all-checks", "limits"):
        section(page).locator(f"[data-key='{name}'] > summary").click()
    section(page).locator(".health-check > summary").first.click()


@pytest.mark.parametrize("size", SIZES[::2], ids=name_of_size)
def test_unfolded_section_fits_and_axe_finds_nothing(
    open_page: OpenPage, size: tuple[int, int]
) -> None:
    page = open_page(HERE, size)
    unfold(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert faults(page) == []


def test_section_shows_what_the_service_counts_the_worst_first(
    open_page: OpenPage, live_server: str
) -> None:
    health = answer(live_server, "/health")
    page = open_page(HERE)
    text = f"{health['beyond']} of {health['judged']} limits are not kept."
    expect(section(page).locator(".lead")).to_contain_text(text)
    beyond = [one["counts"] for one in health["checks"] if one["verdict"] == "beyond"]
    assert beyond
    shown = section(page).locator("[data-verdict='beyond'] .health-counts")
    assert shown.all_text_contents() == beyond
    page.locator("[data-key='all-checks'] > summary").click()
    rows = section(page).locator("[data-key='all-checks'] tbody tr")
    assert rows.count() == len(health["checks"])


def test_each_task_that_stands_out_is_one_touch_away(open_page: OpenPage, live_server: str) -> None:
    checks = answer(live_server, "/health")["checks"]
    check = next(one for one in checks if one["id"] == "large_floats" and one["offenders"])
    first = check["offenders"][0]
    page = open_page(HERE, PHONE)
    place = section(page).locator("[data-key='large_floats']")
    place.locator("summary").click()
    expect(place).to_contain_text(check["advice"])
    expect(place).to_contain_text(check["source"])
    place.get_by_role("button", name=first["name"], exact=True).click()
    expect(page.get_by_role("dialog")).to_contain_text(first["id"])


def test_schedule_leads_to_plan_health(open_page: OpenPage) -> None:
    page = open_page("/schedule?project=1")
    wait_until_drawn(page)
    page.get_by_role("link", name="See plan health").click()
    expect(page).to_have_url(re.compile(r"/settings\?project=1#plan-health$"))
    expect(section(page).locator(".lead")).to_be_in_viewport()


def test_limit_is_changed_and_taken_back(open_page: OpenPage, live_server: str) -> None:
    page = open_page(HERE)
    wait_until_drawn(page)
    page.locator("[data-key='limits'] > summary").click()
    label = re.compile("^Open tasks that can wait very long, %")
    page.get_by_label(label).fill("7.5")
    page.locator("[data-key='limits']").get_by_role("button", name="Save").click()
    expect(page.locator(".notice")).to_contain_text("Saved: the limits of plan health.")
    by_id = {one["id"]: one for one in answer(live_server, "/health")["limits"]}
    assert by_id["large_floats"]["own"] == 0.075
    assert sum(one["own"] is not None for one in by_id.values()) == 1
    expect(page.locator("#changes")).to_contain_text("health limits: large floats: none to 7.5 %")
    expect(page.locator("[data-key='limits']")).to_have_attribute("open", "")
    page.locator(".notice").get_by_role("button", name="Undo").click()
    expect(page.locator(".notice")).to_contain_text("Put back")
    by_id = {one["id"]: one for one in answer(live_server, "/health")["limits"]}
    assert by_id["large_floats"]["own"] is None


def test_limit_beyond_sense_is_refused_beside_its_field(
    open_page: OpenPage, live_server: str
) -> None:
    """The refusal shows in the console, so nobody watches."""
    page = open_page(HERE, watched=False)
    wait_until_drawn(page)
    page.locator("[data-key='limits'] > summary").click()
    form = page.locator("[data-key='limits']")
    form.locator("[data-field='lags'] input").fill("700")
    form.get_by_role("button", name="Save").click()
    expect(form.get_by_role("alert")).to_contain_text("7 is not between 0 and 1, where 0.05 is 5 %")
    expect(form.locator("[data-field='lags'] input")).to_have_attribute("aria-invalid", "true")
    expect(form.locator("[data-field='lags'] input")).to_have_value("700")


def test_owner_looks_and_changes_nothing(open_page: OpenPage) -> None:
    page = open_page(HERE)
    take_role(page, "owner")
    page.locator("[data-key='limits'] > summary").click()
    form = page.locator("[data-key='limits']")
    expect(form.get_by_role("button", name="Save")).to_have_count(0)
    expect(form.locator("[data-field='lags'] input")).to_be_disabled()
    take_role(page, "lead")


def test_paper_has_the_findings_and_not_the_settings(open_page: OpenPage) -> None:
    page = open_page(HERE)
    wait_until_drawn(page)
    page.evaluate("window.print = () => dispatchEvent(new Event('beforeprint'))")
    page.get_by_role("button", name="Print plan health").click()
    page.emulate_media(media="print")
    place = section(page)
    expect(place.locator("[data-verdict='beyond'] .health-body p").first).to_be_visible()
    expect(place.locator("[data-verdict='kept'] .health-counts").first).to_be_visible()
    more = place.get_by_text(re.compile("^50 of [0-9]+ are printed here"))
    expect(more.first).to_be_visible()
    expect(page.locator("#vendors")).to_be_hidden()
    expect(place.locator("[data-key='limits']")).to_be_hidden()
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    expect(page.locator("#vendors")).to_be_visible()


def test_plan_without_work_says_that_there_is_nothing_to_judge(
    open_page: OpenPage, live_server: str
) -> None:
    project = bring_in(live_server)
    page = open_page(f"/settings?project={project}#plan-health")
    expect(section(page).locator(".lead")).to_contain_text("There is no open work to judge yet.")
    assert section(page).locator(".health-group").count() == 1
