"""The owner's minimal day: open the forecast at home and read when it will be finished."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from playwright.sync_api import expect

from tests.browser.conftest import OpenPage
from tests.browser.journeys import (
    SIZES,
    answer,
    exported_plan,
    name_of_size,
    take_role,
    told_by_command,
)
from tests.support.service import running_demo


@pytest.fixture(scope="module")
def live_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Address of a demo that starts as the owner starts it: the command fills a new folder."""
    with running_demo(tmp_path_factory.mktemp("demo")) as address:
        yield address


@pytest.mark.parametrize("size", SIZES[::2], ids=name_of_size)
def test_the_finish_is_the_first_thing_to_read_and_is_what_the_command_computes(
    open_page: OpenPage, live_server: str, tmp_path: Path, size: tuple[int, int]
) -> None:
    page = open_page("/forecast", size)
    take_role(page, "owner")
    told = told_by_command("simulate", exported_plan(live_server, tmp_path))

    big = page.locator(".answer-date")
    expect(big.locator("time")).to_have_attribute("datetime", told["finish"]["p50"])
    by80 = page.locator(".answer-by80")
    expect(by80.locator("time")).to_have_attribute("datetime", told["finish"]["p80"])
    expect(page.locator("#answer")).to_contain_text("If everything goes as written")
    expect(page.locator(f"#answer time[datetime='{told['planned']}']").first).to_be_visible()
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


def test_the_reason_is_the_critical_path_to_its_end(open_page: OpenPage, live_server: str) -> None:
    page = open_page("/forecast", SIZES[0])
    take_role(page, "owner")
    why = answer(live_server, "/forecast")["why"]
    page.get_by_text("more steps between").click()
    names = page.locator("#why .chain-name").all_text_contents()
    assert names == [step["name"] for step in why]
    assert [step["id"] for step in why] == answer(live_server, "/schedule")["critical_path"]


def test_the_owner_is_offered_nothing_to_change(open_page: OpenPage) -> None:
    page = open_page("/away", SIZES[0])
    take_role(page, "owner")
    expect(page.locator("article.item").first).to_be_visible()
    assert page.get_by_role("button", name="Log a call").count() == 0
    assert page.get_by_role("button", name="Left the vendor").count() == 0


def test_why_and_what_waits_for_a_yes_are_in_sight_on_a_phone(
    open_page: OpenPage, live_server: str
) -> None:
    """Without scrolling: the first of the work that holds the date, and what the owner owes."""
    page = open_page("/forecast", SIZES[2])
    take_role(page, "owner")
    brief = page.locator(".answer-brief")
    expect(brief).to_contain_text(answer(live_server, "/forecast")["why"][0]["name"])
    first, *rest = answer(live_server, "/money")["decisions"]
    expect(brief).to_contain_text(first["name"])
    assert (f"and {len(rest)} more" in brief.inner_text()) == bool(rest)
    box = brief.bounding_box()
    strip = page.locator(".title-block").bounding_box()
    assert box is not None
    assert strip is not None
    assert box["y"] + box["height"] <= strip["y"]


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
    expect(page.locator(".answer-brief")).to_contain_text("Tell the shop your answer")
    line.get_by_role("link").click()
    expect(page.locator(f"#title-{item['id']}")).to_have_text(item["name"])
    expect(page.locator(f"#title-{item['id']}")).to_be_in_viewport()
