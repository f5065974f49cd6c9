"""The floor's way through a check: the photo, the inspector, the reason; and what is kept of it."""

from __future__ import annotations

import re
from typing import Any

import httpx
from playwright.sync_api import FilePayload, Page, expect

from tests.api.pictures import picture
from tests.browser.conftest import OpenPage
from tests.browser.journeys import SIZES, wait_until_drawn
from tests.browser.test_sheets import faults
from tests.browser.test_states import DAY, bring_in, open_project

PHOTO = FilePayload(name="layers.png", mimeType="image/png", buffer=picture("PNG"))
PARTS: dict[str, Any] = {
    "tasks": [
        {"id": "A", "name": "Record the paint", "days": 1, "trade": "help",
         "check": {"kind": "hold", "wants": "photo set with scale"}},
        {"id": "B", "name": "Rivet the fin", "days": 2, "trade": "metal",
         "status": {"state": "in_work", "started": DAY},
         "check": {"kind": "buy_off", "wants": "seen before closing"}},
        {"id": "C", "name": "Strip the fin", "days": 2, "trade": "metal"},
        {"id": "D", "name": "Seal the fin", "days": 1, "trade": "metal",
         "check": {"kind": "buy_off", "wants": "bead all round"}},
        {"id": "E", "name": "Count the bolts", "days": 1, "trade": "metal",
         "check": {"kind": "hold", "wants": "count sheet"}},
    ],
    "links": [{"from": "A", "to": "C"}],
    "crew": [{"trade": "metal", "label": "Metalworker 1", "calendar": "shop"}],
    "calendars": [{"id": "shop"}],
    "vendors": [{"id": "V", "name": "Tank works", "country": "CA"}],
    "send_outs": [
        {"id": "S1", "name": "Fuel tank", "kind": "tank", "vendor": "V", "after": ["E"],
         "before": ["C"], "customs_out_days": 3, "lead_days": 20}],
}  # fmt: skip


def at_a_tablet(
    open_page: OpenPage, address: str, sheet: str, *, watched: bool = True
) -> tuple[Page, int]:
    """Bring the parts in as a project; return a page with one of its sheets, and its number."""
    project = bring_in(address, **PARTS)
    page = open_page(size=SIZES[1], watched=watched)
    open_project(page, sheet, project)
    return page, project


def press(page: Page, task: str, button: str) -> None:
    """Press a button on the card of a task."""
    card = page.locator(f"article.card[data-task='{task}']")
    card.get_by_role("button", name=button).first.click()


def state_of(address: str, project: int, task: str) -> tuple[str, str]:
    """Return where a task and its check stand."""
    answer = httpx.get(f"{address}/api/v1/projects/{project}/tasks/{task}").json()
    return answer["task"]["status"]["state"], answer["check"]["state"]


def test_a_lead_settles_checks_from_the_floor_and_finds_them_on_the_records_sheet(
    open_page: OpenPage, live_server: str
) -> None:
    page, project = at_a_tablet(open_page, live_server, "today")
    dialog, notice = page.get_by_role("dialog"), page.locator("#notice")

    press(page, "A", "Done")
    expect(dialog).to_contain_text("Wants: photo set with scale.")
    assert faults(page) == []
    dialog.locator("input[type=file]").last.set_input_files([PHOTO])
    expect(dialog.locator(".photo-grid img")).to_have_count(1)
    dialog.get_by_role("button", name="Sign off, and done").click()
    expect(dialog.locator(".error-summary")).to_contain_text("Who: give the name of a person")
    dialog.get_by_label("Who").first.fill("Shop lead")
    dialog.get_by_role("button", name="Sign off, and done").click()
    expect(notice).to_contain_text("Signed off: Record the paint.")
    assert state_of(live_server, project, "A") == ("done", "settled")

    press(page, "B", "Done")
    dialog.get_by_label("Who").first.fill("Inspector 1")
    dialog.get_by_label("Licence, number and scope").fill("B1 123")
    dialog.get_by_role("button", name="Sign off, and done").click()
    expect(notice).to_contain_text("Signed off: Rivet the fin.")
    notice.get_by_role("button", name="Undo").click()
    expect(notice).to_contain_text("Put back: Rivet the fin.")
    assert state_of(live_server, project, "B") == ("in_work", "open")
    press(page, "B", "Done")
    dialog.get_by_label("Who").first.fill("Inspector 1")
    dialog.get_by_label("Licence, number and scope").fill("B1 123")
    dialog.get_by_role("button", name="Sign off, and done").click()
    expect(notice).to_contain_text("Signed off")

    press(page, "D", "Done")
    dialog.get_by_role("button", name="Sign off, and done").click()
    expect(notice).to_contain_text("Signed off: Seal the fin.")
    assert state_of(live_server, project, "D") == ("done", "settled")

    press(page, "E", "Done")
    dialog.get_by_text("Pass over it, because").click()
    over = dialog.locator(".pass-over")
    over.get_by_role("button", name="Pass over it, and done").click()
    expect(over.locator(".error-summary")).to_contain_text("say why it cannot wait")
    over.get_by_label("Because").fill("The sheet went with the tank.")
    over.get_by_label("Who").fill("Shop lead")
    over.get_by_role("button", name="Pass over it, and done").click()
    expect(notice).to_contain_text("Passed over: Count the bolts.")

    open_project(page, "records", project)
    expect(page.locator("#passed")).to_contain_text("The sheet went with the tank.")
    page.set_viewport_size({"width": SIZES[2][0], "height": SIZES[2][1]})
    wide = "one => one.scrollWidth - one.clientWidth"
    assert page.locator("#passed .table-scroll").evaluate(wide) == 0, "the reason is in sight"
    expect(page.locator("#signed")).to_contain_text("Inspector 1 (B1 123)")
    expect(page.locator("#checks")).to_contain_text("No check is open.")


def test_what_is_opened_again_keeps_the_next_task_waiting(
    open_page: OpenPage, live_server: str
) -> None:
    tasks = [dict(one) for one in PARTS["tasks"]]
    done = {"state": "done", "started": DAY, "finished": DAY}
    tasks[0] |= {"status": done, "check": {"kind": "buy_off"}}
    sign_offs = [{"id": "SO1", "on": DAY, "by": "Inspector 1", "task": "A", "kind": "buy_off"}]
    project = bring_in(live_server, **{**PARTS, "tasks": tasks, "sign_offs": sign_offs,
                                       "send_outs": []})  # fmt: skip
    page = open_page(size=SIZES[1])
    open_project(page, "today", project)
    dialog = page.get_by_role("dialog")
    expect(page.locator("#ready [data-task='C']")).to_be_visible()
    page.locator("#done [data-task='A'] .card-name button").click()
    dialog.get_by_role("button", name="Open again…").click()
    dialog.get_by_label("What was seen since").fill("A layer was missed.")
    dialog.get_by_role("button", name="Open it again").click()
    expect(dialog.locator(".error-summary")).to_have_count(0)
    expect(page.locator("#notice")).to_contain_text("Open again: Record the paint.")
    expect(page.locator("#ready [data-task='C']")).to_have_count(0)
    expect(page.locator("#waiting")).to_contain_text("is open again and wants")


def test_the_records_sheet_asks_for_the_rule_book_and_keeps_what_is_said(
    open_page: OpenPage, live_server: str
) -> None:
    page, _ = at_a_tablet(open_page, live_server, "records")
    expect(page.locator("#rules")).to_contain_text("Choose the rule book")
    page.get_by_label("By which rule book will it fly?").select_option("us")
    entry = page.locator("[data-record='us-entry']")
    expect(entry).to_contain_text("14 CFR 43.9")
    entry.get_by_role("button", name="State: 14 CFR 43.9").click()
    dialog = page.get_by_role("dialog")
    dialog.get_by_label("Who").fill("Inspector 1")
    dialog.get_by_label("What was settled").fill("Entered on page 12.")
    dialog.get_by_role("button", name="Keep this statement").click()
    expect(entry).to_contain_text("Settled, says Inspector 1")
    expect(page.locator("#summary")).to_contain_text("1 of 12 records are stated")
    expect(page.locator("#open")).to_contain_text("Items not accepted yet (1)")
    assert faults(page) == []


def test_the_records_sheet_of_the_demo_is_handed_over_on_six_pages(open_page: OpenPage) -> None:
    """What is open stands first, a line each; what is empty takes no room."""
    page = open_page("/records", SIZES[1])
    wait_until_drawn(page)
    counted = int(page.locator("#checks-count").inner_text())
    page.emulate_media(media="print")
    rows = page.locator("#checks tbody tr")
    expect(rows).to_have_count(counted)
    expect(rows.first).to_be_visible()
    expect(page.locator(".check-entry").first).to_be_hidden()
    titles = page.locator("main h2:visible").evaluate_all("all => all.map(({ id }) => id)")
    names = ("checks", "passed", "rules", "signed", "open")
    assert titles == [f"{name}-title" for name in names]
    paper = page.pdf(prefer_css_page_size=True)
    assert 1 < len(re.findall(rb"/MediaBox", paper)) <= 6


def pass_over(page: Page, button: str) -> None:
    """Give a name and a reason in the dialog of a check."""
    dialog = page.get_by_role("dialog")
    dialog.get_by_text("Pass over it, because").click()
    dialog.get_by_label("Who").last.fill("Shop lead")
    dialog.get_by_label("Because").fill("It was drawn by hand.")
    dialog.get_by_role("button", name=button, exact=True).click()


def test_a_task_with_an_open_check_is_dropped_by_name_and_with_a_reason(
    open_page: OpenPage, live_server: str
) -> None:
    page, project = at_a_tablet(open_page, live_server, "today", watched=False)
    page.locator("article.card[data-task='A'] .card-name button").click()
    dialog = page.get_by_role("dialog")
    dialog.get_by_label("State").select_option("dropped")
    dialog.get_by_role("button", name="Save the record").click()
    expect(dialog).to_contain_text("Dropped: Record the paint")
    pass_over(page, "Pass over it, and drop it")
    expect(page.locator("#notice")).to_contain_text("Passed over: Record the paint.")
    answer = httpx.get(f"{live_server}/api/v1/projects/{project}/tasks/A").json()
    assert answer["task"]["status"]["state"] == "dropped"


def test_an_item_leaves_when_what_is_open_before_it_is_passed_over(
    open_page: OpenPage, live_server: str
) -> None:
    page, _ = at_a_tablet(open_page, live_server, "away", watched=False)
    dialog, ship = page.get_by_role("dialog"), page.get_by_role("button", name="Shipped: Fuel tank")
    ship.click()
    dialog.get_by_role("button", name="Record").click()
    expect(dialog.locator(".error-summary")).to_contain_text("S1 (Fuel tank) may not leave")
    dialog.get_by_role("button", name="Sign off: Count the bolts").click()
    expect(dialog).to_contain_text("Hold point: Count the bolts")
    pass_over(page, "Pass over it")
    expect(page.locator(".item .check-waits")).to_have_count(0)
    ship.click()
    dialog.get_by_role("button", name="Record").click()
    expect(page.locator("#notice")).to_contain_text("Fuel tank: shipped.")


def test_a_packing_list_is_printed_from_away(open_page: OpenPage, live_server: str) -> None:
    page, _ = at_a_tablet(open_page, live_server, "away")
    page.get_by_role("link", name="Packing list: Fuel tank").click()
    wait_until_drawn(page)
    main = page.locator("main")
    for part in ("to Tank works (CA)", "gas-free certificate", "E (Count the bolts) wants",
                 "customs border", "29 CFR 1910.146", "Insured at replacement value",
                 "Usual cautions only."):  # fmt: skip
        expect(main).to_contain_text(part)
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[1][0]
    assert faults(page) == []
