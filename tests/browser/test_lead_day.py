"""The shop lead's minimal day: mark a task done on a tablet and see what becomes of the finish."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import FilePayload, Page, expect

from tests.api.pictures import picture
from tests.browser.conftest import OpenPage
from tests.browser.journeys import (
    SIZES,
    answer,
    exported_plan,
    name_of_size,
    take_role,
    told_by_command,
    wait_until_drawn,
)

PHOTO = FilePayload(name="rim.png", mimeType="image/png", buffer=picture("PNG"))
IN_SHOP = {"source": "pattern", "stage": "in shop"}


def likely_shown(page: Page) -> str:
    """Return the likely finish in the title block, once it is known."""
    cell = page.locator(".title-block .finish")
    expect(cell.locator("dt")).to_contain_text("Likely finish")
    return cell.locator(".value time").get_attribute("datetime") or ""


def exported_findings(address: str) -> dict[str, Any]:
    """Return the findings of the plan by what was seen."""
    return {one["seen"]: one for one in answer(address, "/plan-file")["findings"]}


def photos_of(address: str, finding: str) -> list[Any]:
    """Return the photos of a finding."""
    photos: list[Any] = answer(address, f"/evidence?finding={finding}")["evidence"]
    return photos


def plan_with_done(file: Path, task_id: str, day: str) -> Path:
    """Write a plan file in which one more task was finished on a date."""
    plan = json.loads(file.read_text())
    task = next(one for one in plan["tasks"] if one["id"] == task_id)
    started = task.get("status", {}).get("started") or day
    task["status"] = {"state": "done", "started": started, "finished": day}
    changed = file.with_name("done.plan.json")
    changed.write_text(json.dumps(plan))
    return changed


def test_finish_moves_out_with_sixty_days_left_and_back_when_the_work_is_done(
    open_page: OpenPage, live_server: str
) -> None:
    """What sets the finish has sixty days left, then turns out to be done; undo puts it back."""
    page = open_page("/today", SIZES[1])
    take_role(page, "lead")
    expect(page.locator(".stamp.critical").first).to_have_text(
        re.compile(r"^Sets the finish: 0\.\d.days to spare$")
    )
    task_id = (
        page.locator("article.card[data-state='in_work']").first.get_attribute("data-task") or ""
    )
    card = page.locator(f"article.card[data-task='{task_id}']")
    title_block = page.locator(".title-block .finish .value time")
    before, written = likely_shown(page), answer(live_server, "/title-block")["finish"]

    card.get_by_role("button", name="Days left").click()
    page.get_by_label("Working days left").fill("60")
    page.get_by_role("button", name="Save the days left").click()
    expect(page.get_by_role("status").filter(has_text="later")).to_contain_text(
        "finish as written moves"
    )
    expect(title_block).not_to_have_attribute("datetime", before)
    late = likely_shown(page)
    assert late > before
    block = answer(live_server, "/title-block")
    assert late == block["likely"]
    assert block["finish"] > written

    card.get_by_role("button", name="Done").click()
    expect(page.get_by_role("status").filter(has_text="sooner")).to_contain_text(
        "finish as written moves"
    )
    expect(title_block).not_to_have_attribute("datetime", late)
    assert likely_shown(page) < late
    assert answer(live_server, "/title-block")["finish"] == written

    page.locator("#notice").get_by_role("button", name="Undo").click()
    expect(title_block).to_have_attribute("datetime", late)
    page.get_by_role("status").filter(has_text="Put back").wait_for()


@pytest.mark.parametrize("size", SIZES, ids=name_of_size)
def test_done_is_one_tap_and_the_finish_is_what_the_command_computes(
    open_page: OpenPage, live_server: str, tmp_path: Path, size: tuple[int, int]
) -> None:
    """The command reads the exported plan with the task marked done by hand."""
    page = open_page("/today", size)
    take_role(page, "lead")
    card = page.locator("article.card[data-state='in_work']").first
    task_id = card.get_attribute("data-task") or ""
    as_of = answer(live_server, "")["as_of"]
    before = answer(live_server, "/title-block")["finish"]
    by_hand = plan_with_done(exported_plan(live_server, tmp_path), task_id, as_of)
    expected = told_by_command("schedule", by_hand)["finish"]
    likely = told_by_command("simulate", by_hand)["finish"]["p50"]

    card.get_by_role("button", name="Done").click()

    notice = page.get_by_role("status").filter(has_text="finish as written")
    expect(notice).to_contain_text("does not move" if expected == before else "moves")
    expect(page.locator(".title-block .finish .value time")).to_have_attribute("datetime", likely)
    assert answer(live_server, "/title-block")["finish"] == expected
    assert answer(live_server, f"/tasks/{task_id}")["task"]["status"]["state"] == "done"


def test_an_item_that_left_its_vendor_is_recorded_in_two_taps(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page("/away", SIZES[1])
    take_role(page, "lead")
    board = answer(live_server, "/away")
    item = next(one for one in board["send_outs"] if one["stage"] == "vendor_work")
    lent = [one for one in board["send_outs"] if IN_SHOP.items() <= one.items()]
    for pattern in lent:
        here = f"Still in the shop; the pattern goes to {pattern['vendor_name']}."
        expect(page.locator(f"#item-{pattern['id']} .item-where")).to_have_text(here)
    assert lent

    page.get_by_role("button", name=f"Left the vendor: {item['name']}", exact=True).click()
    expect(page.get_by_label("On", exact=True)).to_have_value(board["as_of"])
    page.get_by_role("button", name="Record").click()

    expect(page.get_by_role("status").filter(has_text="Finish")).to_contain_text(item["name"])
    wait_until_drawn(page)
    after = next(
        one for one in answer(live_server, "/away")["send_outs"] if one["id"] == item["id"]
    )
    assert after["left_vendor"] == board["as_of"]
    assert page.get_by_role(
        "button", name=f"Received here: {item['name']}", exact=True
    ).is_visible()


def test_held_work_names_who_acts_next_and_what_is_found_there_brings_zone_and_work(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page("/today", SIZES[1])
    take_role(page, "lead")
    card = page.locator("article.card[data-task='F57.3']")
    told = card.locator(".card-next")
    expect(told).to_contain_text("Next: Hradovna Patterns and Castings.")
    page.emulate_media(media="print")
    words, hours = told.bounding_box(), card.locator(".hours-box").bounding_box()
    assert words
    assert hours
    assert words["x"] + words["width"] < hours["x"], "on paper it leaves room to write"
    page.emulate_media(media="screen")
    card.get_by_role("button", name="Found here").click()
    dialog = page.get_by_role("dialog", name="Found something")
    expect(dialog).to_contain_text("At work on Main gear")
    dialog.get_by_label("What do you see?").fill("Bush worn oval")
    dialog.get_by_role("button", name="Write it down").click()
    page.get_by_role("status").filter(has_text="It waits in Evaluation").wait_for()
    found = exported_findings(live_server)["Bush worn oval"]
    assert (found["zone"], found["notes"]) == (
        "gear",
        "Found at work on F57.3, Main gear: bush; pins; reassemble; grease.",
    )


def test_what_is_found_before_work_begins_is_taken_back_together_with_its_photo(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page("/today", SIZES[1])
    take_role(page, "lead")
    card = page.locator("article.card[data-task='F15'][data-state='not_started']")
    card.get_by_role("button", name="Found here").click()
    dialog = page.get_by_role("dialog", name="Found something")
    dialog.get_by_label("What do you see?").fill("Rim cracked at the spoke")
    dialog.get_by_label("Photo, if it helps").set_input_files(PHOTO)
    dialog.get_by_role("button", name="Write it down").click()
    page.get_by_role("status").filter(has_text="It waits in Evaluation").wait_for()
    key = exported_findings(live_server)["Rim cracked at the spoke"]["id"]
    assert len(photos_of(live_server, key)) == 1
    page.locator("#notice").get_by_role("button", name="Undo").click()
    page.get_by_role("status").filter(has_text="Put back: Found: Rim cracked").wait_for()
    assert "Rim cracked at the spoke" not in exported_findings(live_server)
    assert photos_of(live_server, key) == []


def test_a_trade_that_can_start_nothing_is_told_what_it_waits_for(
    open_page: OpenPage, live_server: str
) -> None:
    told = answer(live_server, "/today?trade=engine")
    waiting = told["waiting_soon"]
    assert not told["ready"]
    assert len(waiting) > 1
    page = open_page("/today?trade=engine", SIZES[1])
    wait_until_drawn(page)
    first = next(one["name"] for line in waiting for one in line["waits_for"])
    expect(page.locator("#ready .empty-state")).to_have_text(
        f"Nothing can be started now: {len(waiting)} tasks wait, the first for {first}. See Waiting"
    )
    page.get_by_role("link", name="See Waiting").click()
    expect(page).to_have_url(re.compile("#waiting$"))
