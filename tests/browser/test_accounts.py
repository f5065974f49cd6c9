"""People sign in: the first account, an invitation, what a role sees, and the way out."""

from __future__ import annotations

import re
from datetime import timedelta
from pathlib import Path
from typing import Any
from urllib.parse import quote

import httpx
import pyotp
import pytest
from playwright.sync_api import Locator, Page, expect

from ribstitch.clock import Clock
from tests.browser.conftest import DESKTOP, PHONE, OpenPage, Windows
from tests.browser.journeys import wait_until_drawn
from tests.browser.test_sheets import faults
from tests.browser.test_states import bring_in
from tests.support.accounts import KEEPER, OTHER, PASSWORD
from tests.support.signed_in import SAME_SITE

LEFT, RIGHT = 1, 2
"""Two projects."""
FORGED = (
    "https://elsewhere.invalid/today",
    "//elsewhere.invalid/today",
    "/\\elsewhere.invalid/today",
    "/\t/elsewhere.invalid/today",
    "/.//elsewhere.invalid/today",
    "javascript:document.title='taken'",
    "/sign-in?then=/today",
)
"""Ways back that lead elsewhere, or nowhere; from each one comes to the keeper's first sheet."""


@pytest.fixture(scope="module")
def live_server(empty_service: str) -> str:
    """Address of a service with two projects, for which nobody has an account yet."""
    for name in ("Left wing", "Right wing"):
        tasks = [{"id": "A", "name": f"Rib the {name.lower()}", "days": 3}]
        bring_in(empty_service, project={"name": name}, tasks=tasks)
    return empty_service


@pytest.fixture(scope="module")
def used_link(service_folder: Path, live_server: str, windows: Windows) -> str:
    """Make the first account by the link that the service printed, as people do; return it."""
    printed = (service_folder / "service.log").read_text()
    found = re.search(r"open http://[^/]+(/join#\S+) \(once", printed)
    assert found, printed
    page = windows.take(DESKTOP)
    page.goto(found[1])
    expect(page.get_by_role("heading", name="The first account")).to_be_visible()
    page.get_by_label("Email").fill(KEEPER)
    page.get_by_label("Name").fill("Planner 1")
    page.get_by_label("Password", exact=True).fill("passwordpassword")
    page.get_by_role("button", name="Make the account").click()
    expect(page.get_by_role("alert")).to_contain_text("too easy to guess")
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_role("button", name="Make the account").click()
    page.wait_for_url("**/what-if")
    wait_until_drawn(page)
    expect(page.locator(".person-name")).to_have_text("Planner 1")
    windows.give_back(page, DESKTOP)
    return found[1]


def ask(address: str, who: str, path: str, body: dict[str, Any]) -> Any:
    """Ask something of the service as somebody who signs in for it."""
    with httpx.Client(base_url=f"{address}/api/v1", headers=SAME_SITE) as client:
        known = {"email": who, "password": PASSWORD}
        client.post("/sign-in", json=known).raise_for_status()
        return client.post(path, json=body).raise_for_status().json()


def join(address: str, email: str, role: str) -> None:
    """Let somebody into the first project, and in."""
    told = ask(address, KEEPER, f"/projects/{LEFT}/people", {"email": email, "role": role})
    token = told["link"]["path"].partition("#")[2]
    body = {"token": token, "name": email.partition("@")[0], "password": PASSWORD}
    httpx.post(f"{address}/api/v1/one-time-links/use", json=body).raise_for_status()


def sign_in(page: Page, email: str, path: str) -> None:
    """Sign in on a new page, and go to a sheet."""
    done = page.request.post("/api/v1/sign-in", data={"email": email, "password": PASSWORD})
    assert done.ok, done.text()
    page.goto(path)
    wait_until_drawn(page)


def come_in(open_page: OpenPage, email: str, path: str) -> Page:
    """Open a sheet as somebody who signed in; what is refused there shows in the console."""
    page = open_page(watched=False)
    sign_in(page, email, path)
    return page


def type_sign_in(page: Page, email: str, password: str = PASSWORD) -> None:
    """Fill the sign-in and send it."""
    page.get_by_label("Email").fill(email)
    page.get_by_label("Password", exact=True).fill(password)
    page.get_by_role("button", name="Sign in").click()


def choose(page: Page, way: str) -> None:
    """Open the menu of who is signed in, and follow one of its ways."""
    page.locator(".person-menu summary").click()
    menu: Locator = page.locator(".person-ways")
    menu.get_by_text(way).click()


def test_a_link_is_good_once(open_page: OpenPage, used_link: str) -> None:
    page = open_page(used_link, watched=False)
    expect(page.get_by_role("heading", name="This link lets nobody in")).to_be_visible()
    expect(page.get_by_text("Ask whoever gave it to you for another one.")).to_be_visible()


def test_an_owner_joins_on_a_phone_sees_one_project_changes_nothing_and_leaves_everywhere(
    open_page: OpenPage, used_link: str
) -> None:
    desk = open_page()
    sign_in(desk, KEEPER, f"/settings?project={LEFT}")
    people = desk.locator("#people")
    people.get_by_text("Let somebody in").click()
    people.get_by_label("Email").fill("owner@home.example")
    people.get_by_label("Name").fill("Owner 1")
    people.get_by_label("Role").select_option("owner")
    people.get_by_role("button", name="Let them in").click()
    dialog = desk.get_by_role("dialog")
    link = dialog.get_by_label("Link", exact=True).input_value()
    assert faults(desk) == []
    dialog.get_by_role("button", name="Close").click()
    expect(people.locator("summary").first).to_contain_text("invited, not here yet")

    phone = open_page(link, PHONE, watched=False)
    expect(phone.get_by_label("Name")).to_have_value("Owner 1")
    phone.get_by_label("Password", exact=True).fill(OTHER)
    phone.get_by_role("button", name="Come in").click()
    phone.wait_for_url("**/forecast")
    wait_until_drawn(phone)
    expect(phone.locator("#project")).to_have_count(0)
    phone.goto(f"/today?project={LEFT}")
    wait_until_drawn(phone)
    expect(phone.locator("#looking")).to_contain_text("looking as the owner")
    expect(phone.get_by_text("Rib the left wing").first).to_be_visible()
    expect(phone.get_by_role("button", name="Start")).to_have_count(0)
    phone.goto(f"/today?project={RIGHT}")
    expect(phone.get_by_role("heading", name="No such project")).to_be_visible()
    assert phone.get_by_text("Right wing").count() == 0
    phone.goto("/settings")
    wait_until_drawn(phone)
    expect(phone.locator("#people")).to_be_hidden()

    choose(phone, "Own account")
    phone.get_by_role("button", name="Sign out everywhere…").click()
    phone.get_by_role("dialog").get_by_role("button", name="Sign out everywhere").click()
    phone.wait_for_url("**/sign-in")
    phone.goto(f"/money?project={LEFT}")
    phone.wait_for_url("**/sign-in?then=*")
    type_sign_in(phone, "owner@home.example", "not it at all")
    expect(phone.get_by_role("alert")).to_contain_text("do not fit together")
    expect(phone.get_by_label("Email")).to_have_value("owner@home.example")
    type_sign_in(phone, "owner@home.example", OTHER)
    phone.wait_for_url(f"**/money?project={LEFT}")


def test_a_second_factor_is_set_up_kept_on_paper_and_asked_for(
    open_page: OpenPage, live_server: str, used_link: str
) -> None:
    join(live_server, "lead@hangar.example", "lead")
    page = come_in(open_page, "lead@hangar.example", "/account")
    factor = page.locator("#second-factor")
    factor.get_by_label("Your password", exact=True).fill(PASSWORD)
    factor.get_by_role("button", name="Set it up").click()
    assert factor.get_by_role("img").evaluate("node => node.complete && node.naturalWidth > 0")
    app = pyotp.TOTP(factor.get_by_label("Secret", exact=True).input_value().replace(" ", ""))
    factor.get_by_label("Code that the app shows now").fill(app.now())
    factor.get_by_role("button", name="Confirm").click()
    expect(factor.get_by_role("heading", name="Recovery codes")).to_be_focused()
    codes = factor.locator(".recovery-codes code").all_text_contents()
    assert len(set(codes)) == 10
    assert faults(page) == []
    page.emulate_media(media="print")
    expect(factor.get_by_text(codes[0])).to_be_visible()
    expect(page.locator("#devices")).to_be_hidden()
    page.emulate_media(media="screen")
    factor.get_by_role("button", name="I have kept them").click()
    expect(factor).to_contain_text("10 recovery codes are left")

    choose(page, "Sign out")
    page.wait_for_url("**/sign-in")
    type_sign_in(page, "lead@hangar.example")
    page.get_by_label("Code of your app").fill("000000")
    page.get_by_role("button", name="Go in").click()
    expect(page.get_by_role("alert")).to_contain_text("does not fit")
    page.get_by_label("Code of your app").fill(app.at(Clock().now_utc() + timedelta(seconds=30)))
    page.get_by_role("button", name="Go in").click()
    page.wait_for_url("**/today")
    choose(page, "Sign out")
    page.wait_for_url("**/sign-in")
    type_sign_in(page, "lead@hangar.example")
    page.get_by_role("button", name="Use a recovery code instead").click()
    page.get_by_label("Recovery code").fill(codes[3])
    page.get_by_role("button", name="Go in").click()
    page.wait_for_url("**/today")


def test_a_forged_way_back_stays_on_this_host(
    open_page: OpenPage, live_server: str, used_link: str
) -> None:
    page = open_page()
    sign_in(page, KEEPER, f"/sign-in?then={quote('/money?project=2', safe='')}")
    page.wait_for_url(f"{live_server}/money?project=2")
    for forged in FORGED:
        page.goto(f"/sign-in?then={quote(forged, safe='')}")
        page.wait_for_url(f"{live_server}/what-if")


def test_a_keeper_closes_an_account_and_the_last_keeper_stays(
    open_page: OpenPage, live_server: str, used_link: str
) -> None:
    join(live_server, "viewer@hangar.example", "viewer")
    page = come_in(open_page, KEEPER, "/people")
    accounts = page.locator("#accounts details")
    keeper = accounts.filter(has_text=KEEPER)
    keeper.locator("summary").click()
    keeper.get_by_role("button", name="No keeper any more").click()
    expect(keeper.get_by_role("alert")).to_contain_text("Planner 1 is the last keeper")
    viewer = accounts.filter(has_text="viewer@hangar.example")
    viewer.locator("summary").click()
    expect(viewer).to_contain_text("Viewer of Left wing")
    viewer.get_by_role("button", name="Close the account").click()
    page.get_by_role("dialog").get_by_role("button", name="Close the account").click()
    expect(viewer.locator(".stamp")).to_have_text("closed")
    refused = page.request.post(
        "/api/v1/sign-in",
        data={"email": "viewer@hangar.example", "password": PASSWORD},
        headers=SAME_SITE,
    )
    assert refused.status == 401
    expect(page.locator("#log-lines tbody tr").first).to_contain_text("account closed")


def test_sign_in_own_account_and_all_accounts_have_no_faults_at_a_desk_and_on_a_phone(
    open_page: OpenPage, used_link: str
) -> None:
    for size in (DESKTOP, PHONE):
        page = open_page(size=size, light="dark" if size == PHONE else "light")
        page.goto("/sign-in")
        wait_until_drawn(page)
        assert faults(page) == []
        sign_in(page, KEEPER, "/people")
        expect(page.locator("#log-lines")).to_contain_text("made the first account")
        for path in ("/people", "/account"):
            page.goto(path)
            wait_until_drawn(page)
            assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
            assert faults(page) == []


def test_what_was_typed_stays_when_the_session_is_over(open_page: OpenPage, used_link: str) -> None:
    page = come_in(open_page, KEEPER, f"/settings?project={LEFT}")
    page.locator("#places").get_by_text("Add a place").click()
    page.locator("#places").get_by_label("Name").fill("Wing jig")
    page.context.clear_cookies()
    page.get_by_role("button", name="Add the place").click()
    expect(page.get_by_role("alert")).to_contain_text("You are signed out.")
    expect(page.locator("#places").get_by_label("Name")).to_have_value("Wing jig")
    with page.expect_popup() as opened:
        page.get_by_role("link", name="Sign in in another window").click()
    type_sign_in(opened.value, KEEPER)
    opened.value.wait_for_url("**/settings*")
    opened.value.close()
    page.get_by_role("button", name="Add the place").click()
    expect(page.locator(".notice")).to_contain_text("Added: Wing jig")
