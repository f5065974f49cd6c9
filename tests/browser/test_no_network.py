"""Today without a network: what is recorded waits, outlives the page, and is sent once."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from typing import Any

import httpx
import pytest
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Locator, Page, Route, expect

from tests.browser.conftest import TABLET
from tests.browser.journeys import wait_until_drawn
from tests.browser.test_hours import PARTS, entries
from tests.browser.test_sheets import faults
from tests.browser.test_states import bring_in
from tests.support.browser import NO_TOUR

KEPT = """async () => {
  const asked = performance.getEntriesByType("resource").map(({ name }) => name);
  const meant = asked.filter((one) => /assets|session|projects$|today|block|airframe/.test(one));
  const found = await Promise.all(meant.map((one) => caches.match(one)));
  return navigator.serviceWorker.controller !== null && found.every(Boolean);
}"""
"""Whether the browser keeps all that the sheet is made of."""

Shop = tuple[str, int]
"""The endpoint of a project, and its number."""


@pytest.fixture
def shop(live_server: str) -> Shop:
    """A small project of one's own."""
    project = bring_in(live_server, **PARTS)
    return f"{live_server}/api/v1/projects/{project}", project


@pytest.fixture(scope="module")
def context(browser: Browser, live_server: str) -> Iterator[BrowserContext]:
    """A window that the sheet's keeper may look after."""
    width, height = TABLET
    made = browser.new_context(
        base_url=live_server,
        viewport={"width": width, "height": height},
        has_touch=True,
        locale="en-IE",
        timezone_id="Europe/Dublin",
        reduced_motion="reduce",
    )
    made.set_default_timeout(10_000)
    made.add_init_script(NO_TOUR)
    yield made
    made.close()


@pytest.fixture
def page(context: BrowserContext, shop: Shop) -> Iterator[Page]:
    """Today of that project, kept by the browser."""
    page = context.new_page()
    page.goto(f"/today?project={shop[1]}")
    wait_until_drawn(page)
    for _ in range(100):
        if page.evaluate(KEPT):
            break
        page.wait_for_timeout(100)
    yield page
    context.set_offline(False)
    context.unroute_all(behavior="ignoreErrors")
    page.close()


def card(page: Page, task: str) -> Locator:
    """Return the card of a task."""
    return page.locator(f"article.card[data-task='{task}']")


def photo() -> bytes:
    """Return a small picture."""
    made = BytesIO()
    Image.new("RGB", (40, 30), "grey").save(made, "PNG")
    return made.getvalue()


def read(shop: Shop, path: str) -> Any:
    """Ask the service."""
    return httpx.get(f"{shop[0]}{path}").raise_for_status().json()


def test_what_is_recorded_without_a_network_waits_and_is_sent_once(
    page: Page, context: BrowserContext, shop: Shop
) -> None:
    context.set_offline(True)
    page.reload()
    wait_until_drawn(page)
    expect(page.locator("#no-network")).to_contain_text("This is how things stood")

    card(page, "A").get_by_role("button", name="Days left").click()
    page.get_by_label("Working days left").fill("2")
    page.get_by_role("button", name="Save the days left").click()
    expect(card(page, "A").locator(".card-unsent")).to_contain_text("2 days left")
    card(page, "A").get_by_role("button", name="Done").click()
    card(page, "C").get_by_role("button", name="Hours").click()
    card(page, "C").get_by_role("button", name="Save 4").click()
    with page.expect_file_chooser() as chooser:
        card(page, "C").get_by_role("button", name="Photo").click()
    chooser.value.set_files({"name": "mount.png", "mimeType": "image/png", "buffer": photo()})
    page.get_by_role("button", name="Found something").click()
    page.get_by_label("What do you see?").fill("Blisters under the wing root")
    page.get_by_label("Photo, if it helps").set_input_files(
        {"name": "root.png", "mimeType": "image/png", "buffer": photo()}
    )
    page.get_by_role("button", name="Write it down").click()
    expect(page.locator("#unsent h2")).to_have_text("6 waiting to be sent")
    assert faults(page) == []
    assert read(shop, "")["plan_version"] == 1

    page.reload()
    wait_until_drawn(page)
    expect(page.locator("#unsent li h3")).to_have_text(
        [
            "2 days left: Rib the left wing",
            "Done: Rib the left wing",
            "Hours: 4 h of Welder, 5 Oct, on Weld the mount",
            "Photo: Weld the mount",
            "Found: Blisters under the wing root",
            "Photo of that: root.png",
        ]
    )
    context.set_offline(False)
    expect(page.locator("#unsent")).to_be_hidden(timeout=20_000)
    expect(page.locator("#no-network")).to_be_hidden()
    expect(card(page, "A")).to_have_attribute("data-state", "done")
    assert entries(shop[0]) == [("C", "2026-10-05", "4", "Welder")]
    (finding,) = read(shop, "/findings")["findings"]
    assert (finding["seen"], finding["seen_by"]) == ("Blisters under the wing root", "Shop lead")
    about = [(one.get("task"), one.get("finding")) for one in read(shop, "/evidence")["evidence"]]
    assert about == [("C", None), (None, finding["key"])]
    assert read(shop, "/tasks/A")["task"]["status"]["state"] == "done"
    assert read(shop, "")["plan_version"] == 7


def test_a_network_that_breaks_after_the_service_got_it_does_nothing_twice(
    page: Page, context: BrowserContext, shop: Shop
) -> None:
    lost: list[str] = []

    def lose(route: Route) -> None:
        lost.append(route.request.headers["idempotency-key"])
        route.fetch()
        route.abort()

    context.set_offline(True)
    card(page, "B").get_by_role("button", name="Done").click()
    for task in ("C", "D"):
        card(page, task).get_by_role("button", name="Hours").click()
        card(page, task).get_by_role("button", name="Save 4").click()
        expect(card(page, task).locator(".card-unsent")).to_be_visible()
    context.route("**/hours", lose, times=1)
    context.set_offline(False)
    expect(page.locator("#unsent")).to_be_hidden(timeout=20_000)
    assert len(lost) == 1
    assert sorted(one[0] for one in entries(shop[0])) == ["C", "D"]
    assert read(shop, "")["plan_version"] == 4


def test_what_the_service_refuses_stays_until_somebody_decides(
    page: Page, context: BrowserContext, shop: Shop
) -> None:
    """Meanwhile the planner has held the task: that is newer."""
    context.set_offline(True)
    for task in ("A", "B"):
        card(page, task).get_by_role("button", name="Done").click()
    expect(page.locator("#unsent h2")).to_have_text("2 waiting to be sent")
    page.get_by_role("button", name="Take back: Done: Splice the spars").click()
    expect(page.locator("#unsent h2")).to_have_text("1 waiting to be sent")
    held = {"status": {"state": "held", "held_reason": "no glue"}}
    headers = {"If-Match": '"1"'}
    httpx.patch(f"{shop[0]}/tasks/A", json=held, headers=headers).raise_for_status()

    context.set_offline(False)
    expect(page.locator("#unsent h2")).to_have_text("1 refused", timeout=20_000)
    expect(page.locator("#unsent .wrong")).to_contain_text("changed in the meantime")
    assert read(shop, "/tasks/A")["task"]["status"]["state"] == "held"
    page.get_by_role("button", name="Send again: Done: Rib the left wing").click()
    expect(page.locator("#unsent")).to_be_hidden()
    assert read(shop, "/tasks/A")["task"]["status"]["state"] == "done"
    assert read(shop, "/tasks/B")["task"]["status"]["state"] == "in_work"
    assert read(shop, "")["plan_version"] == 3


def test_who_is_signed_out_keeps_what_was_recorded(
    page: Page, context: BrowserContext, shop: Shop
) -> None:
    refusal = {"type": "/api/v1/problems/sign-in", "title": "Sign in", "status": 401}
    context.route("**/hours", lambda route: route.fulfill(status=401, json=refusal), times=1)
    card(page, "C").get_by_role("button", name="Hours").click()
    card(page, "C").get_by_role("button", name="Save 4").click()
    expect(page.locator("#notice")).to_contain_text("You are signed out: it is kept here")
    expect(page.locator("#unsent")).to_contain_text("sign in again")
    expect(page.locator("#unsent")).to_be_hidden(timeout=20_000)
    assert len(entries(shop[0])) == 1


def test_nothing_goes_out_under_another_name(
    page: Page, context: BrowserContext, shop: Shop
) -> None:
    """On a shared tablet: the lead recorded it, then the planner looks, then the lead is back."""
    context.set_offline(True)
    card(page, "C").get_by_role("button", name="Done").click()
    expect(page.locator("#unsent h2")).to_have_text("1 waiting to be sent")
    page.goto("about:blank")
    context.set_offline(False)
    for role in ("planner", "lead"):
        context.request.put("/api/v1/session", data={"role": role})
        page.goto(f"/today?project={shop[1]}")
        wait_until_drawn(page)
        if role == "planner":
            expect(page.locator("#unsent")).to_contain_text("by Shop lead, and waits for them")
            assert read(shop, "")["plan_version"] == 1
    expect(page.locator("#unsent")).to_be_hidden()
    (change, _) = read(shop, "/changes")["changes"]
    assert (change["who"], change["action"]) == ("Shop lead", "task.status")


def test_people_of_one_name_are_told_apart_by_their_accounts(page: Page) -> None:
    """What was kept before accounts had numbers here goes by the name."""
    told = page.evaluate("""async () => {
      const { isMine, startSending } = await import("/assets/js/lib/queue.js");
      startSending({ name: "Ann", account: 7 });
      const kept = [{ by: "Ann", account: 7 }, { by: "Ann", account: 8 }, { by: "Ann" }];
      return kept.map(isMine);
    }""")
    assert told == [True, False, True]


def test_what_was_kept_goes_with_who_signs_out(page: Page) -> None:
    page.evaluate("""fetch("/api/v1/sign-out", { method: "POST" })""")
    assert not page.evaluate("""caches.has("ribstitch-answers")""")


def test_another_sheet_says_that_there_is_no_network(page: Page, context: BrowserContext) -> None:
    context.set_offline(True)
    page.goto("/money")
    expect(page.get_by_role("heading", name="There is no network")).to_be_visible()
    page.get_by_role("link", name="Open Today").click()
    expect(page.get_by_role("heading", name="Today")).to_be_visible()
