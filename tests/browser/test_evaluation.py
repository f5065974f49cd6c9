"""Evaluation: findings are written down with a thumb, changed in place, and become a plan."""

from __future__ import annotations

import re
from typing import Any

import httpx
import pytest
from playwright.sync_api import Locator, Page, Route, expect

from ribstitch.assets import seed_folder
from tests.browser.conftest import OpenPage
from tests.browser.journeys import SIZES, take_role, wait_until_drawn
from tests.browser.test_sheets import faults
from tests.support.evaluated import evaluated_plan

DESK, TABLET, PHONE = SIZES
PHOTO = seed_folder() / "garganey" / "photos" / "bow-plating.png"


class Walk:
    """An evaluated project on the Evaluation sheet, and what the service says of it."""

    def __init__(self, page: Page, address: str, zone: str = "bow", **changes: Any) -> None:
        self.page = page
        plan = evaluated_plan(**{"evidence": [], **changes})
        made = httpx.post(f"{address}/api/v1/projects", json=plan).raise_for_status().json()
        self.project: int = made["id"]
        self.root = f"{address}/api/v1/projects/{self.project}"
        self.address = f"/evaluation?project={self.project}&zone={zone}"
        self.open()

    def open(self) -> None:
        """Open the sheet, where the walk stands."""
        self.page.goto(self.address)
        wait_until_drawn(self.page)

    def findings(self) -> dict[str, dict[str, Any]]:
        """Return what is stored, by id."""
        found = httpx.get(f"{self.root}/findings").raise_for_status().json()["findings"]
        return {one["id"]: one for one in found}

    def write(self, key: str, **edit: Any) -> None:
        """Edit a finding on another tablet."""
        version = self.findings()[key]["version"]
        headers = {"If-Match": f'"{version}"'}
        httpx.patch(f"{self.root}/findings/{key}", json=edit, headers=headers).raise_for_status()

    @property
    def form(self) -> Locator:
        """The form for a new finding."""
        return self.page.get_by_role("form", name="New finding")

    @property
    def words(self) -> Locator:
        """Its one big field."""
        return self.form.get_by_label("What do you see?")

    def row(self, key: str) -> Locator:
        """Return the row of a finding."""
        return self.page.locator(f".finding[data-key='{key}']")

    def unfolded(self, key: str) -> Locator:
        """Unfold a row and return its form."""
        self.row(key).locator(".finding-head").click()
        form = self.page.get_by_role("form", name=f"Finding {key}")
        expect(form).to_be_visible()
        return form

    def told(self, text: str) -> Locator:
        """See what the notice says."""
        notice = self.page.locator("#notice")
        expect(notice).to_contain_text(text)
        return notice


def bottom_of(place: Locator) -> float:
    """Return where something ends in the window. [CSS pixels]"""
    box = place.bounding_box()
    assert box is not None
    return box["y"] + box["height"]


def top_of_notice(walk: Walk) -> float:
    """Return where the notice begins, which covers what lies below. [CSS pixels]"""
    box = walk.page.locator("#notice").bounding_box()
    assert box is not None
    return box["y"]


@pytest.fixture
def unwatched(open_page: OpenPage) -> Page:
    """Return a page that nobody watches: a refusal shows in the console."""
    return open_page(size=TABLET, watched=False)


def test_two_findings_are_written_down_with_a_thumb_and_one_is_taken_back(
    open_page: OpenPage, live_server: str
) -> None:
    """Next keeps the zone and clears the rest; the numbers go on from the highest."""
    walk = Walk(open_page(size=PHONE), live_server)
    assert walk.page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
    walk.words.fill("Fin spar pitted at the root")
    walk.form.get_by_label("3 repairable").check()
    walk.form.get_by_role("button", name="Next").click()
    walk.told("Written down: F6, Fin spar pitted at the root")
    expect(walk.words).to_have_value("")
    expect(walk.words).to_be_focused()
    assert bottom_of(walk.form.get_by_role("group", name="Condition")) <= top_of_notice(walk)
    walk.words.fill("Bilge full of sand")
    walk.form.get_by_label("2 worn").check()
    walk.form.get_by_role("button", name="Next").click()
    notice = walk.told("Written down: F7")
    stored = walk.findings()["F7"]
    assert (stored["zone"], stored["grade"], stored["seen_on"]) == ("bow", 2, "2026-10-05")
    expect(walk.page.locator(".finding").first).to_contain_text("Bilge full of sand")
    notice.get_by_role("button", name="Undo").click()
    walk.told("Put back: F7")
    expect(walk.row("F7")).to_have_count(0)
    assert set(walk.findings()) == {"F1", "F2", "F3", "F4", "F5", "F6"}


def test_keyboard_alone_writes_walks_the_list_and_comes_back(
    open_page: OpenPage, live_server: str
) -> None:
    """Letters act in the list alone, so that who dictates never sets one off (WCAG 2.1.4)."""
    walk = Walk(open_page(size=DESK), live_server)
    keyboard = walk.page.keyboard
    walk.words.focus()
    keyboard.type("Nut missing")
    keyboard.press("Enter")
    keyboard.press("5")
    keyboard.press("Enter")
    walk.told("Written down: F6")
    assert walk.findings()["F6"]["grade"] == 5
    heads = walk.page.locator(".finding-head")
    heads.first.focus()
    keyboard.press("ArrowDown")
    expect(heads.nth(1)).to_be_focused()
    keyboard.press("Enter")
    expect(walk.row("F2").locator("form")).to_be_visible()
    keyboard.press("Tab")
    keyboard.press("Escape")
    expect(walk.row("F2").locator("form")).to_have_count(0)
    expect(heads.nth(1)).to_be_focused()
    keyboard.press("n")
    expect(walk.words).to_be_focused()
    keyboard.type("n")
    expect(walk.words).to_have_value("n")


def test_decision_offers_cards_that_fit_and_says_what_to_record_first(
    open_page: OpenPage, live_server: str
) -> None:
    walk = Walk(open_page(size=TABLET), live_server)
    form = walk.unfolded("F2")
    assert faults(walk.page) == []
    assert walk.page.evaluate("document.documentElement.scrollWidth") <= TABLET[0]
    expect(form.get_by_role("group", name="Person-hours")).to_be_visible()
    form.get_by_text("Repair", exact=True).click()
    expect(form.locator(".treatment-told")).to_contain_text("photo and map of the damage")
    fit = form.locator("optgroup[label='Fit the treatment'] option")
    expect(fit).to_have_text(["M06 Mend a skin with a patch, by the patch"])
    form.get_by_label("Method card").select_option("M06")
    expect(form.get_by_role("group", name="Person-hours")).to_be_hidden()
    form.get_by_label("How many: patches").fill("2,25")
    form.get_by_label("3 repairable").check()
    form.get_by_label("Chapter").fill("fuel")
    form.get_by_label("What the decision rests on").select_option("trace")
    form.get_by_label("Decided by").fill("Lead 1")
    form.get_by_role("button", name="Save").click()
    walk.told("Saved: F2")
    kept = walk.findings()["F2"]
    assert (kept["treatment"], kept["card"], kept["quantity"]) == ("repair", "M06", "2.25")
    assert (kept["grade"], kept["rung"], kept["decided_by"]) == (3, "trace", "Lead 1")
    assert kept["decided_on"] == "2026-10-05"
    expect(walk.row("F2")).to_contain_text(re.compile("M06, 2.25.patches"))


def test_nothing_typed_is_lost_when_the_page_is_loaded_again(
    open_page: OpenPage, live_server: str
) -> None:
    walk = Walk(open_page(size=TABLET), live_server)
    walk.words.fill("Half a sentence about")
    walk.form.get_by_label("4 beyond limits").check()
    form = walk.unfolded("F2")
    form.get_by_label("Measurements").fill("0.8 mm left")
    walk.open()
    expect(walk.words).to_have_value("Half a sentence about")
    expect(walk.form.get_by_label("4 beyond limits")).to_be_checked()
    form = walk.page.get_by_role("form", name="Finding F2")
    expect(form.get_by_label("Measurements")).to_have_value("0.8 mm left")
    form.get_by_role("button", name="Save").click()
    walk.told("Saved: F2")
    walk.open()
    expect(walk.row("F2").locator("form")).to_have_count(0)
    assert walk.findings()["F2"]["measurements"] == "0.8 mm left"


def test_what_was_written_down_at_once_does_not_come_back(
    open_page: OpenPage, live_server: str
) -> None:
    """Who is quick sends before what is typed was kept; the page's clock stands meanwhile."""
    walk = Walk(open_page(size=TABLET), live_server)
    walk.page.clock.install(time="2026-10-05T08:00:00")
    walk.open()
    walk.page.clock.pause_at("2026-10-05T09:00:00")
    walk.words.fill("Rivets loose")
    walk.form.get_by_label("3 repairable").check()
    walk.form.get_by_role("button", name="Next").click()
    walk.told("Written down: F6")
    walk.page.clock.run_for(1_000)
    walk.open()
    expect(walk.words).to_have_value("")
    walk.page.context.close()


def test_stale_edit_shows_the_words_of_the_other_tablet_and_keeps_both(
    unwatched: Page, live_server: str
) -> None:
    walk = Walk(unwatched, live_server)
    form = walk.unfolded("F2")
    form.get_by_label("Notes").fill("Look again from below")
    walk.write("F2", measurements="1.2 mm left", notes="Worse at the joggle")
    form.get_by_role("button", name="Save").click()
    expect(form.get_by_role("alert")).to_contain_text("1.2 mm left")
    expect(form.get_by_label("Measurements")).to_have_value("1.2 mm left")
    expect(form.get_by_label("Notes")).to_have_value("Look again from below")
    form.get_by_role("button", name="Keep both").click()
    form.get_by_role("button", name="Save").click()
    walk.told("Saved: F2")
    kept = walk.findings()["F2"]
    both = "Worse at the joggle\nLook again from below"
    assert (kept["notes"], kept["measurements"]) == (both, "1.2 mm left")


def test_two_tablets_at_once_take_numbers_of_their_own(unwatched: Page, live_server: str) -> None:
    walk = Walk(unwatched, live_server)
    other = {"id": "F6", "seen": "Written on the other tablet", "zone": "tail"}
    httpx.post(f"{walk.root}/findings", json=other).raise_for_status()
    walk.words.fill("Written on this one")
    walk.form.get_by_label("1 sound").check()
    walk.form.get_by_role("button", name="Next").click()
    walk.told("Written down: F7")
    found = walk.findings()
    assert found["F6"]["seen"] == "Written on the other tablet"
    assert found["F7"]["seen"] == "Written on this one"


def test_answer_that_got_lost_writes_nothing_twice(unwatched: Page, live_server: str) -> None:
    """The service stores the finding, but its answer never arrives; Next finds it again."""
    walk = Walk(unwatched, live_server)

    def lose(route: Route) -> None:
        route.fetch()
        route.abort()

    walk.page.route("**/findings", lose, times=1)
    walk.words.fill("Cable frayed")
    walk.form.get_by_label("4 beyond limits").check()
    walk.form.get_by_role("button", name="Next").click()
    expect(walk.form.get_by_role("alert")).to_contain_text("cannot be reached")
    expect(walk.words).to_have_value("Cable frayed")
    walk.words.fill("Cable frayed at the pulley")
    walk.form.get_by_role("button", name="Next").click()
    walk.told("Written down: F6")
    assert walk.findings()["F6"]["seen"] == "Cable frayed at the pulley"
    assert "F7" not in walk.findings()


def test_what_is_missing_is_said_and_nothing_is_stored(
    open_page: OpenPage, live_server: str
) -> None:
    walk = Walk(open_page(size=TABLET), live_server)
    walk.form.get_by_role("button", name="Next").click()
    expect(walk.form.locator(".error-summary li")).to_have_text(
        ["What do you see? A few words are enough.", "Condition: choose one of the six."]
    )
    assert len(walk.findings()) == 5


def test_another_one_like_it_and_withdrawing_one(open_page: OpenPage, live_server: str) -> None:
    walk = Walk(open_page(size=DESK), live_server)
    walk.unfolded("F1")
    walk.row("F1").get_by_role("button", name="Another one like it").click()
    expect(walk.words).to_have_value("Glass cloth over the bow plating")
    walk.words.fill("Glass cloth over the keel")
    walk.form.get_by_role("button", name="Next").click()
    walk.told("Written down: F6")
    assert walk.findings()["F6"]["card"] == "M15"
    walk.row("F1").get_by_role("button", name="Withdraw").click()
    notice = walk.told("Withdrawn: F1")
    expect(walk.row("F1")).to_have_count(0)
    assert walk.findings()["F1"]["dropped"] is True
    notice.get_by_role("button", name="Undo").click()
    walk.told("Put back: F1")
    expect(walk.row("F1")).to_have_count(1)


def test_map_walks_to_a_zone_and_filters_narrow_the_list(
    open_page: OpenPage, live_server: str
) -> None:
    walk = Walk(open_page(size=DESK), live_server, zone="")
    expect(walk.page.locator(".finding")).to_have_count(4)
    walk.page.locator("[data-zone='tail'][role='button']").first.click()
    expect(walk.page.locator(".finding-id")).to_have_text(["F3"])
    expect(walk.page.locator("#walk")).to_contain_text("not opened up yet; 1 of 1 decided")
    assert "zone=tail" in walk.page.url
    walk.page.get_by_role("button", name="Zone before: Bow").click()
    expect(walk.page.locator(".finding-id")).to_have_text(["F2", "F1"])
    walk.page.locator("#shown").select_option("undecided")
    expect(walk.page.locator(".finding-id")).to_have_text(["F2"])
    walk.page.locator("#shown").select_option("withdrawn")
    expect(walk.page.locator(".finding-id")).to_have_text(["F5"])


def test_photo_is_added_to_a_finding_and_stands_in_the_report(
    open_page: OpenPage, live_server: str
) -> None:
    """What is typed meanwhile stays; the notice after Next leads to the photos."""
    walk = Walk(open_page(size=TABLET), live_server)
    walk.words.fill("Plating dented")
    walk.form.get_by_label("3 repairable").check()
    walk.form.get_by_role("button", name="Next").click()
    walk.told("Written down: F6").get_by_role("button", name="Photos").click()
    form = walk.page.get_by_role("form", name="Finding F6")
    form.get_by_label("Notes").fill("Seen from below")
    photos = walk.row("F6").get_by_role("region", name="Photos and documents")
    photos.locator("input[multiple]").set_input_files(PHOTO)
    expect(walk.row("F6").locator(".finding-head")).to_contain_text("1 photo")
    expect(form.get_by_label("Notes")).to_have_value("Seen from below")
    walk.page.goto(f"/evaluation-report?project={walk.project}")
    wait_until_drawn(walk.page)
    picture = walk.page.locator("#F6 img")
    expect(picture).to_be_visible()
    assert picture.evaluate("image => image.decode().then(() => image.naturalWidth)") > 0
    walk.page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})
    tables = walk.page.locator("#zones .table-scroll")
    wide = tables.evaluate_all("all => all.filter(one => one.scrollWidth > one.clientWidth).length")
    assert (tables.count() > 0, wide) == (True, 0), "nothing is cut on a phone"


def item(key: str, name: str, **more: Any) -> dict[str, Any]:
    """Return a line of the planner's preview."""
    return {"kind": "task", "key": key, "name": name, "why": "", "finding": "F3", "card": None,
            **more}  # fmt: skip


ZONES = [{"id": key, "name": name} for key, name in (("bow", "Bow"), ("tail", "Tail"))]
PREVIEW = {
    "plan_version": 1,
    "up_to_date": False,
    "counts": {"added": 1, "changed": 1, "dropped": 0, "kept": 2},
    "added": [item("F3.1", "Water rudder")],
    "changed": [item("T2", "Make good", fields=[{"field": "days", "before": 2, "after": 3}])],
    "dropped": [],
    "kept": [
        item("T1", "Take the cloth off", reason="started", fields=[], instead=""),
        item(
            "S1",
            "Cloth",
            kind="send_out",
            reason="dropped",
            fields=[],
            instead='"Fit" waits 21 days after "Take off"',
        ),
    ],
    "problems": [{"finding": "F2", "sentence": "F2 is not decided yet."}],
    "finish_before": "2026-10-06",
    "finish_after": "2026-10-12",
}


def test_preview_says_what_becomes_of_the_plan_and_why(
    open_page: OpenPage, live_server: str
) -> None:
    """The planner's answer is made up here; the planner itself is tested elsewhere."""
    walk = Walk(open_page(size=TABLET), live_server)
    walk.page.route("**/draft", lambda route: route.fulfill(json=PREVIEW))
    plan = walk.page.locator("#plan")
    expect(plan).to_contain_text("1 finding is decided and not in the plan yet.")
    plan.get_by_role("button", name="Look what it makes").click()
    problem = plan.locator(".plan-problems").get_by_role("listitem")
    expect(problem).to_have_text("finding F2 is not decided yet.")
    expect(plan.locator(".lead")).to_have_text("1 new (1 task), 1 changed, 2 left alone.")
    expect(plan).to_contain_text(re.compile("moves from 6.Oct.2026 to 12.Oct.2026"))
    plan.get_by_text("Changed", exact=True).click()
    expect(plan.get_by_role("list", name="Changed")).to_contain_text("days: 2 to 3")
    plan.get_by_text("Left alone", exact=True).click()
    expect(plan.get_by_role("list", name="Left alone")).to_contain_text("its work has begun")
    plan.get_by_text("Taken out by hand", exact=True).click()
    expect(plan.get_by_role("list", name="Taken out by hand")).to_contain_text(
        'Stays out: somebody took it out. Instead, "Fit" waits 21 days after "Take off".'
    )
    expect(plan.get_by_role("button", name="Put into the plan")).to_be_visible()
    assert faults(walk.page) == []
    plan.get_by_role("list", name="Changed").get_by_role("button", name="finding F3").click()
    expect(walk.page.get_by_role("form", name="Finding F3")).to_be_visible()


def test_findings_become_a_plan_and_it_is_taken_back(open_page: OpenPage, live_server: str) -> None:
    """The real planner: F3 has hours of its own, and F2 is decided here."""
    walk = Walk(open_page(size=TABLET), live_server, tasks=[], zones=ZONES)
    walk.write("F2", treatment="repair", card="M06", grade=3)
    walk.open()
    plan = walk.page.locator("#plan")
    expect(plan).to_contain_text("3 findings are decided and not in the plan yet.")
    plan.get_by_role("button", name="Look what it makes").click()
    plan.get_by_text("New", exact=True).click()
    expect(plan.get_by_role("list", name="New")).to_contain_text("Mend a skin with a patch")
    plan.get_by_role("button", name="Put into the plan").click()
    notice = walk.told("The plan is made from the findings.")
    expect(plan).to_contain_text("Nothing would change.")
    expect(walk.row("F2")).to_contain_text("1 task")
    notice.get_by_role("button", name="Undo").click()
    walk.told("Put back: the plan as it was")
    expect(walk.row("F2")).not_to_contain_text("1 task")
    expect(plan.get_by_role("button", name="Put into the plan")).to_be_visible()


def test_report_and_ledger_tell_an_owner_all_and_print(
    open_page: OpenPage, live_server: str
) -> None:
    walk = Walk(open_page(size=DESK), live_server)
    take_role(walk.page, "owner")
    expect(walk.page.get_by_role("form", name="New finding")).to_have_count(0)
    walk.row("F1").locator(".finding-head").click()
    expect(walk.row("F1").get_by_role("button", name="Save")).to_have_count(0)
    walk.page.get_by_role("link", name="Report and ledger").click()
    expect(walk.page.get_by_role("heading", level=1)).to_have_text("Evaluation report")
    main = walk.page.locator("main[aria-busy='false']")
    expect(main).to_contain_text("Restored to1947")
    expect(main.get_by_role("region", name="Bow", exact=True)).to_contain_text(
        "Restore configuration"
    )
    expect(main).not_to_contain_text("Written down twice")
    ledger = main.locator(".ledger")
    expect(ledger).to_contain_text("5 points are still open")
    expect(ledger.get_by_role("region", name="Originality: Tail")).to_contain_text(
        "Trace on this airframe"
    )
    expect(main).to_contain_text("licensed people decide")
    assert faults(walk.page) == []
    walk.page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})
    cell = ledger.get_by_role("region", name="Originality: Tail").locator("td").first
    assert cell.evaluate("(node) => getComputedStyle(node, '::before').content") == '"Found as"'
    walk.page.set_viewport_size({"width": DESK[0], "height": DESK[1]})
    walk.page.emulate_media(media="print")
    expect(walk.page.get_by_role("button", name="Print the report")).to_be_hidden()
    walk.page.evaluate("document.body.dataset.part = 'ledger'")
    expect(main.locator("#zones")).to_be_hidden()
    expect(ledger).to_be_visible()


def test_empty_states_say_where_to_begin(open_page: OpenPage, live_server: str) -> None:
    page = open_page(size=PHONE)
    walk = Walk(page, live_server, zone="", findings=[], standing_jobs=[], cards=[], evidence=[])
    expect(page.locator("#list")).to_contain_text("Begin at the nose")
    walk = Walk(page, live_server, zone="", findings=[], standing_jobs=[], tasks=[], zones=[])
    expect(page.locator("#list")).to_contain_text("names no zones yet")
    expect(walk.form).to_be_visible()
