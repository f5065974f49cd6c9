"""The owner's minimal day: open the forecast at home and read when it will be finished."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import httpx
import pytest
from playwright.sync_api import expect

from tests.browser.conftest import OpenPage
from tests.browser.journeys import (
    SIZES,
    answer,
    exported_plan,
    found,
    name_of_size,
    open_as,
    take_role,
    told_by_command,
    wait_until_drawn,
)
from tests.support.service import running_demo


@pytest.fixture(scope="module")
def live_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Address of a demo that starts as the owner starts it: the command fills a new folder."""
    with running_demo(tmp_path_factory.mktemp("demo")) as address:
        yield address


def edit(address: str, path: str, body: dict[str, Any], version: int) -> None:
    """Edit a thing as the planner."""
    with httpx.Client(base_url=address) as client:
        client.put("/api/v1/session", json={"role": "planner"}).raise_for_status()
        match = {"If-Match": f'"{version}"'}
        client.patch(f"/api/v1/projects/1{path}", json=body, headers=match).raise_for_status()


def last_to_end(address: str) -> dict[str, Any]:
    """Return the last piece of work that holds the date and takes time."""
    tasks = {one["id"]: one for one in answer(address, "/tasks?limit=1000")["tasks"]}
    held = [tasks[one["id"]] for one in answer(address, "/forecast")["why"] if one["id"] in tasks]
    return next(one for one in reversed(held) if one["days"])


@pytest.fixture(scope="module")
def told(live_server: str, tmp_path_factory: pytest.TempPathFactory) -> Any:
    """Return what the command says of the plan, asked once for all sizes."""
    return told_by_command("simulate", exported_plan(live_server, tmp_path_factory.mktemp("plan")))


@pytest.mark.parametrize("size", SIZES, ids=name_of_size)
def test_the_finish_is_the_first_thing_to_read_and_is_what_the_command_computes(
    open_page: OpenPage, told: Any, size: tuple[int, int]
) -> None:
    page = open_page("/forecast", size)
    take_role(page, "owner")

    big = page.locator(".answer-date")
    expect(big.locator("time")).to_have_attribute("datetime", told["finish"]["p50"])
    by80 = page.locator(".answer-by80")
    expect(by80.locator("time")).to_have_attribute("datetime", told["finish"]["p80"])
    expect(page.locator("#next")).to_contain_text("If everything goes as written")
    expect(page.locator(f"#next time[datetime='{told['planned']}']").first).to_be_visible()
    box = big.bounding_box()
    assert box is not None
    assert box["y"] + box["height"] < size[1], "the date can be read without scrolling"
    letters = page.evaluate("""() => {
      const size = (node) => parseFloat(getComputedStyle(node).fontSize);
      return [...document.querySelectorAll("main *")].map(size).sort((a, b) => a - b);
    }""")
    assert big.evaluate("node => parseFloat(getComputedStyle(node).fontSize)") == letters[-1]


def test_the_finish_is_said_in_chances_and_never_as_one_bare_date(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page("/forecast", SIZES[0])
    take_role(page, "owner")
    target = answer(live_server, "/simulation")["result"]["target"]
    sheet = page.get_by_role("region", name="The finish")
    expect(sheet).to_contain_text("likely finished by")
    expect(sheet).to_contain_text("8 chances in 10 that it is finished by")
    assert target["probability"] < 0.005, "what the sentence says about the demo's wanted date"
    expect(sheet.locator(".answer-target")).to_contain_text("less than 1 chance in 100")
    expect(sheet.locator(".answer-target time")).to_have_attribute("datetime", target["date"])
    assert "P80" not in (sheet.text_content() or "")


def test_under_the_answer_stands_what_holds_the_date_and_who(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page("/forecast", SIZES[0])
    first, *rest = answer(live_server, "/forecast")["why"]
    told = page.get_by_role("region", name="The finish").locator(".answer-holds")
    expect(told).to_contain_text(first["name"])
    expect(told).to_contain_text(f"then {len(rest)} more pieces of work")
    expect(told).to_contain_text(answer(live_server, "/crew-load")["bottleneck"]["sentence"])
    expect(told.get_by_role("link", name="the crew")).to_have_attribute("href", "/crew")
    told.get_by_role("link", name="Why this date").click()
    which = page.locator("#why > p").first
    expect(which).to_be_in_viewport()
    result = found(live_server, "/simulation")
    dates = which.locator("time")
    expect(dates.first).to_have_attribute("datetime", result["planned"])
    expect(dates.last).to_have_attribute("datetime", result["finish"]["p50"])


def test_what_is_in_work_is_not_told_as_what_can_be_started(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page("/forecast", SIZES[0])
    lines = page.locator("#next li")
    soon = answer(live_server, "/forecast")["next"]
    expect(lines).to_have_count(len(soon))
    begun = [line.startswith("in work") for line in lines.all_text_contents()]
    assert begun == [one["in_work"] for one in soon]
    assert any(begun)


def test_the_reason_is_the_critical_path_to_its_end(open_page: OpenPage, live_server: str) -> None:
    page = open_page("/forecast", SIZES[0])
    take_role(page, "owner")
    why = answer(live_server, "/forecast")["why"]
    page.locator("#why-panel > summary").click()
    page.get_by_text("steps between").click()
    names = page.locator("#why .chain-name").all_text_contents()
    assert names == [step["name"] for step in why]
    assert [step["id"] for step in why] == answer(live_server, "/schedule")["critical_path"]


def test_the_owner_is_offered_nothing_to_change(open_page: OpenPage) -> None:
    page = open_page("/away", SIZES[0])
    take_role(page, "owner")
    expect(page.locator("article.item").first).to_be_visible()
    assert page.get_by_role("button", name="Log a call").count() == 0
    assert page.get_by_role("button", name="Left the vendor").count() == 0


def test_before_anything_moved_the_sheet_says_how_it_stands_to_what_was_approved(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_as(open_page, "owner", "/forecast", SIZES[2])
    expect(page.locator("#moved")).to_contain_text("it costs the same as written")
    expect(page.locator("#moved")).to_contain_text("No plan is kept from 9 Sept 2026")
    approved = answer(live_server, "/statement")["approved"]
    expect(page.locator("#approved tfoot").first).to_contain_text(str(approved["days"]))


def test_the_answer_and_the_first_cause_are_in_sight_on_a_phone(
    open_page: OpenPage, live_server: str
) -> None:
    """Work that holds the date takes three weeks longer; then the lines add up, and lead there."""
    task = last_to_end(live_server)
    longer = {"days": task["days"] + 15}
    edit(live_server, f"/tasks/{task['id']}", longer, task["version"])
    page = open_as(open_page, "owner", "/forecast", SIZES[2])
    cause = page.locator("#moved tbody tr").first
    expect(cause).to_contain_text(f"{task['name']}: takes longer")
    box = cause.locator(".moved-what").bounding_box()
    strip = page.locator(".title-block").bounding_box()
    assert box is not None
    assert strip is not None
    assert box["y"] + box["height"] <= strip["y"]
    expect(page.locator("#spread-state")).to_be_hidden(timeout=30_000)
    moved = found(live_server, "/moved?since=1")
    likely, written = moved["likely"], sum(one["days"] for one in moved["causes"])
    assert moved["moved"]["days"] == written == likely["days"] - likely["surer_days"] > 0
    assert likely["now"] == page.locator(".answer-date time").get_attribute("datetime")
    expect(page.locator("#moved tfoot")).to_contain_text(f"+{likely['days']} days")
    cause.get_by_text("1 change").click()
    expect(cause.get_by_role("listitem").first).to_contain_text("days")
    cause.get_by_role("button").click()
    expect(page.get_by_role("dialog").get_by_role("heading", name=task["name"])).to_be_visible()
    page.keyboard.press("Escape")
    page.locator("[name=since]").select_option("own")
    page.get_by_label("Since which date").fill(answer(live_server, "/forecast")["as_of"])
    expect(page.locator("#moved")).to_contain_text("it costs the same as written")


def test_the_last_look_is_remembered_and_what_came_after_it_is_told(
    open_page: OpenPage, live_server: str
) -> None:
    """A look of yesterday, kept in this browser; then work is put down as shorter again."""
    found(live_server, "/simulation")  # How sure it was is logged once that is known.
    seen = answer(live_server, "/forecast")["plan_version"]
    task = last_to_end(live_server)
    edit(live_server, f"/tasks/{task['id']}", {"days": task["days"] + 5}, task["version"])
    page = open_as(open_page, "owner", "/forecast", SIZES[0])
    page.evaluate(
        """(version) => {
          const key = Object.keys(localStorage).find((one) => one.startsWith("ribstitch.look."));
          const before = { version, on: "2026-10-08" };
          localStorage.setItem(key, JSON.stringify({ at: 0, seen: before, before: null }));
        }""",
        seen,
    )
    page.reload()
    wait_until_drawn(page)
    expect(page.locator("[name=since]")).to_have_value(str(seen))
    expect(page.locator("#spread-state")).to_be_hidden(timeout=30_000)
    found(live_server, "/simulation")
    likely = found(live_server, f"/moved?since={seen}")["likely"]
    expect(page.locator("#moved tbody tr")).to_have_count(1 + bool(likely["surer_days"]))


def test_the_forecast_prints_on_two_pages(open_page: OpenPage) -> None:
    page = open_as(open_page, "owner", "/forecast")
    expect(page.locator("#moved tfoot, #approved tfoot").first).to_be_visible()
    page.emulate_media(media="print")
    expect(page.get_by_role("heading", name="Photos of the month")).to_be_visible()
    paper = page.pdf(prefer_css_page_size=True)
    assert 1 <= len(re.findall(rb"/MediaBox", paper)) <= 2


def test_who_cannot_say_yes_is_not_asked_for_it(open_page: OpenPage) -> None:
    page = open_as(open_page, "lead", "/forecast", SIZES[2])
    expect(page.get_by_role("heading", name="Waiting for your yes")).to_have_count(0)


def test_a_price_that_waits_names_the_item_and_where_to_say_yes(
    open_page: OpenPage, live_server: str
) -> None:
    """An item is at its vendor with a quote, and the yes to it is taken back."""
    asked = httpx.get(f"{live_server}/api/v1/projects/1/away").json()
    item = next(one for one in asked["send_outs"] if one["stage"] == "vendor_work")
    httpx.patch(
        f"{live_server}/api/v1/projects/1/send-outs/{item['id']}",
        json={"status": {"approved": None}},
        headers={"If-Match": f'"{item["version"]}"'},
    ).raise_for_status()
    page = open_page("/forecast", SIZES[2])
    take_role(page, "owner")
    line = page.locator(".waiting li").filter(has_text="The price of")
    expect(line).to_contain_text(f"The price of {item['name']}")
    expect(page.locator("#decisions")).to_contain_text("Tell the shop your answer")
    line.get_by_role("link").click()
    expect(page.locator(f"#title-{item['id']}")).to_have_text(item["name"])
    expect(page.locator(f"#title-{item['id']}")).to_be_in_viewport()
