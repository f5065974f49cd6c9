"""The change log: what changed many things is one line, opened and taken back from there."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect

from tests.browser.conftest import OpenPage
from tests.browser.journeys import answer, take_role, wait_until_drawn


def adopt_an_order(page: Page, root: str) -> int:
    """Level the plan and take the order, as the Crew sheet does; return how many links it set."""
    page.request.post(f"{root}/levelling", data={"seconds": 0, "keep_days": 0})
    for _ in range(200):
        standing = page.request.get(f"{root}/levelling").json()
        if standing["state"] != "running":
            break
        page.wait_for_timeout(20)
    asked = {"plan_version": standing["plan_version"]}
    done = page.request.post(f"{root}/levelling/adopt", data=asked).json()
    return int(done["added"] + done["taken_away"])


def test_an_order_of_the_crew_is_one_line_that_opens_and_can_be_undone(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page("/settings")
    take_role(page, "planner")
    before = answer(live_server, "/crew-links")["crew_links"]
    root = f"{live_server}/api/v1/projects/1"
    count = adopt_an_order(page, root)
    assert count > 25, "else it would fit on a page anyway"
    page.reload()
    log = page.locator("#changes-list")
    line = log.get_by_role("row").filter(has_text="Levelled: ")
    expect(line).to_have_count(1)
    expect(line.get_by_role("rowheader")).to_have_text(f"{count} things")
    line.get_by_text(f"All {count}, one by one").click()
    expect(line.get_by_role("listitem")).to_have_count(min(count, 100))
    expect(line.get_by_role("listitem").first).to_contain_text("crew link")
    line.get_by_role("button", name=re.compile("^Undo")).click()
    expect(log.get_by_role("row").filter(has_text="Took back: ")).to_have_count(1)
    expect(line).to_contain_text("taken back")
    after = answer(live_server, "/crew-links")["crew_links"]
    assert {one["key"] for one in after} == {one["key"] for one in before}


def test_a_case_is_one_line_however_few_things_it_changed(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page("/settings")
    take_role(page, "planner")
    root = f"{live_server}/api/v1/projects/1"
    bought = answer(live_server, "/expedites")["expedites"][0]["id"]
    changes = [{"kind": "expedite_taken", "expedite": bought, "days": 1}]
    asked = {
        "plan_version": answer(live_server, "/schedule")["plan_version"],
        "case": {"name": "A Saturday", "changes": changes},
    }
    assert page.request.post(f"{root}/cases/adopt", data=asked).ok
    (newest, *_) = answer(live_server, "/actions")["actions"]
    assert 1 < newest["count"] == len(newest["changes"]), "else it is one line anyway"
    page.reload()
    line = page.locator("#changes-list").get_by_role("row").filter(has_text="A Saturday")
    expect(line).to_have_count(1)
    expect(line).to_contain_text("Case taken into the plan: ")
    line.get_by_role("button", name=re.compile("^Undo")).click()
    expect(line).to_contain_text("taken back")
    assert answer(live_server, "/expedites")["expedites"][0]["taken_days"] == 0


def test_the_log_of_one_day_stands_alone_and_goes_out_as_a_table(open_page: OpenPage) -> None:
    page = open_page("/settings")
    wait_until_drawn(page)
    log = page.locator("#changes-list")
    assert log.get_by_role("row").count() > 1
    log.get_by_label("Of one day").fill("2001-02-03")
    expect(log).to_contain_text("Nothing was changed on that day")
    log.get_by_label("Of one day").fill("")
    expect(log.get_by_role("row").nth(1)).to_be_visible()
    with page.expect_download() as taken:
        log.get_by_role("link", name="change log, csv").click()
    assert taken.value.suggested_filename == "changes.csv"
