"""The airframe map: by finger, by keyboard, in words; zones traced on a drawing of the shop's."""

from __future__ import annotations

import re
from io import BytesIO
from typing import Any

import httpx
from axe_playwright_python.sync_playwright import Axe
from PIL import Image, ImageDraw
from playwright.sync_api import FilePayload, Locator, Page, expect

from tests.browser.conftest import PHONE, OpenPage
from tests.browser.journeys import answer, open_as, wait_until_drawn
from tests.browser.test_states import bring_in, open_project

HANGAR = (834, 1112)


def test_map_tells_the_same_as_its_table_and_leads_to_a_zone_by_keyboard(
    open_page: OpenPage, live_server: str
) -> None:
    """States are classes of the shapes, so that a style sheet can draw them without a colour."""
    page = open_as(open_page, "lead", "/away", HANGAR)
    zones = {zone["id"]: zone for zone in answer(live_server, "/airframe")["zones"]}
    places = page.locator("#airframe [role='button'][data-zone]")
    drawn: list[list[str]] = places.evaluate_all(
        "(all) => all.map((one) => [one.dataset.zone, [...one.classList].join(' '),"
        " one.getAttribute('aria-label')])"
    )
    assert {zone for zone, _, _ in drawn} == set(zones)
    rows: list[list[str]] = page.locator("#airframe tbody tr").evaluate_all(
        "(all) => all.map((row) => [row.querySelector('button').dataset.zoneRow,"
        " ...[...row.querySelectorAll('td')].map((cell) => cell.textContent)])"
    )
    table = {name: cells for name, *cells in rows}
    assert set(table) == set(zones)
    for name, classes, sentence in drawn:
        zone = zones[name]
        states = {"held": zone["held"], "away": zone["away"], "critical": zone["critical"]}
        assert set(classes.split()) - {"zone"} == {word for word, is_so in states.items() if is_so}
        assert round(100 * zone["share_done"]) == int(re.findall(r"(\d+)\s?%", sentence)[0])
        assert table[name][0] == f"{zone['done']} of {zone['tasks']}"
        assert table[name][1] == (str(zone["held"]) if zone["held"] else "")
        assert all(f"{item['name']} away at" in sentence for item in zone["away"])
        assert all(item["name"] in table[name][2] for item in zone["away"])
    assert any(zone["held"] for zone in zones.values())
    assert any(zone["away"] for zone in zones.values())

    stops = page.locator("#airframe [role='button'][tabindex='0']")
    expect(stops).to_have_count(1)
    stops.focus()
    keys = {"ArrowRight": 1, "ArrowDown": 2, "ArrowLeft": 1, "End": -1, "Home": 0, "ArrowUp": -1}
    for key, place in keys.items():
        page.keyboard.press(key)
        expect(places.nth(place)).to_be_focused()
        expect(stops).to_have_count(1)
    page.keyboard.press("Enter")
    name = zones[drawn[-1][0]]["name"]
    expect(page.locator(".only-here")).to_contain_text(name)
    expect(places.last).to_have_attribute("aria-pressed", "true")
    assert page.url.endswith(f"zone={drawn[-1][0]}")


def test_lists_of_away_and_records_are_about_the_zone_that_is_chosen(
    open_page: OpenPage, live_server: str
) -> None:
    """On paper all checks stand there."""
    page = open_page("/away", PHONE)
    wait_until_drawn(page)
    engine = page.get_by_role("button", name=re.compile("^Pylon and engine")).first
    page.get_by_role("button", name="Choose a zone on the airframe").click()
    engine.click()
    page.get_by_text(re.compile("^Back and closed")).click()
    legs = answer(live_server, "/schedule")["activities"]
    wanted = {leg["send_out"] for leg in legs if leg["kind"] == "leg" and leg["zone"] == "pylon"}
    items = page.locator("#board .item").evaluate_all("(all) => all.map(({ id }) => id)")
    assert items
    assert {item.removeprefix("item-") for item in items} == wanted
    page.get_by_role("button", name="All zones").click()
    assert page.locator("#board .item").count() > len(wanted)
    assert "zone" not in page.url

    page.goto("/records?zone=tail")
    wait_until_drawn(page)
    checks = answer(live_server, "/records")["open_checks"]
    here = [check for check in checks if check["zone"] == "tail"]
    expect(page.locator(".only-here")).to_contain_text(f"Only Tail: {len(here)} open.")
    expect(page.locator("#checks .check-entry")).to_have_count(len(here))
    page.emulate_media(media="print")
    expect(page.locator("#airframe")).to_be_hidden()
    expect(page.locator(".only-here")).to_be_hidden()
    expect(page.locator("#checks .print-only tbody tr")).to_have_count(len(checks))


def test_map_before_the_work_is_one_line_on_a_phone_until_it_is_asked_for(
    open_page: OpenPage,
) -> None:
    """Then the view from above unfolds as well; the printed daily sheet has the map in any case."""
    page = open_page("/today", PHONE)
    wait_until_drawn(page)
    aside, left = page.locator("#airframe"), page.get_by_role("group", name=re.compile("the left"))
    expect(left).to_be_hidden()
    line = aside.bounding_box()
    assert line
    assert line["height"] < 80
    page.emulate_media(media="print")
    expect(left).to_be_visible()
    page.emulate_media(media="screen")
    page.get_by_role("button", name="Choose a zone on the airframe").click()
    expect(left).to_be_visible()
    above = page.get_by_role("group", name=re.compile("seen from above"))
    expect(above).to_be_hidden()
    page.get_by_role("button", name="View from above").click()
    expect(above).to_be_visible()
    expect(above.locator("[data-zone='rwing'][role='button']")).to_have_attribute(
        "aria-pressed", "false"
    )
    page.get_by_role("button", name="Hide the view from above").click()
    expect(above).to_be_hidden()


def picture() -> bytes:
    """Draw a fuselage as a shop would photograph it from a manual."""
    paper = Image.new("RGB", (1200, 600), "white")
    ImageDraw.Draw(paper).polygon([(60, 300), (400, 200), (1140, 280), (400, 400)], outline="black")
    made = BytesIO()
    paper.save(made, "PNG")
    return made.getvalue()


def shop(address: str) -> int:
    """Bring in a project with a drawing of the landplane and three zones; one is half done."""
    done = {"state": "done", "started": "2026-03-02", "finished": "2026-03-02"}
    return bring_in(
        address,
        project={"start": "2026-03-02", "as_of": "2026-03-04", "airframe": "landplane"},
        zones=[{"id": one, "name": one.title()} for one in ("nose", "tail", "whole")],
        tasks=[
            {"id": "A", "name": "Strip", "days": 1, "zone": "tail", "status": done},
            {"id": "B", "name": "Mend", "days": 1, "zone": "tail"},
        ],
    )


def tap(page: Page, canvas: Locator, corner: tuple[float, float]) -> None:
    """Tap on the picture, at a share of its width and height."""
    box = canvas.bounding_box()
    assert box is not None
    x, y = corner
    page.touchscreen.tap(box["x"] + x * box["width"], box["y"] + y * box["height"])


def drag(page: Page, held: Locator, by: tuple[int, int]) -> None:
    """Move something by finger, in steps; a page that scrolled instead would let go of it."""
    box = held.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    finger = page.context.new_cdp_session(page)

    def touch(what: str, *points: tuple[float, float]) -> None:
        at = [{"x": right, "y": down} for right, down in points]
        finger.send("Input.dispatchTouchEvent", {"type": what, "touchPoints": at})

    touch("touchStart", (x, y))
    for step in range(1, 9):
        touch("touchMove", (x + by[0] * step / 8, y + by[1] * step / 8))
    touch("touchEnd")
    finger.detach()


def drawings(address: str, project: int) -> list[Any]:
    """Return the project's drawings as they are stored."""
    got = httpx.get(f"{address}/api/v1/projects/{project}/drawings").raise_for_status()
    found: list[Any] = got.json()["drawings"]
    return found


def test_zones_are_traced_by_finger_and_by_keyboard_and_the_map_stands_on_them(
    open_page: OpenPage, live_server: str
) -> None:
    project = shop(live_server)
    page = open_page(size=HANGAR)
    open_project(page, "settings", project)
    section = page.locator("#drawings")
    sent: FilePayload = {"name": "side.png", "mimeType": "image/png", "buffer": picture()}
    section.get_by_label("Picture of the aircraft").set_input_files(sent)
    canvas = section.locator(".tracing > svg")
    expect(canvas).to_be_visible()
    told = section.locator(".tracing-told")

    canvas.scroll_into_view_if_needed()
    tap(page, canvas, (0.5, 0.5))
    expect(told).to_have_text("Choose a zone first.")
    section.get_by_role("button", name="Tail").tap()
    canvas.scroll_into_view_if_needed()
    for corner in ((0.6, 0.2), (0.9, 0.2), (0.9, 0.8), (0.6, 0.8)):
        tap(page, canvas, corner)
    expect(told).to_have_text("Corner 4 of Tail: 60 % from the left, 80 % from the top.")
    tap(page, canvas, (0.6, 0.2))
    expect(told).to_contain_text("Outline of Tail closed: 4 corners.")
    section.get_by_role("button", name="One step back").tap()
    section.get_by_role("button", name="Close the outline").tap()
    width = canvas.evaluate("(canvas) => canvas.getBoundingClientRect().width")
    drag(page, section.locator("[data-corner='0'] .dot"), (0, round(width * 0.1)))
    expect(told).to_have_text("Corner 1 of Tail: 60 % from the left, 40 % from the top.")
    expect(section.locator("[data-corner]")).to_have_count(4)
    section.get_by_role("button", name="One step back").tap()
    assert faults_in(page, "#drawings") == []

    section.get_by_role("button", name="Nose").focus()
    page.keyboard.press("Enter")
    setting = section.get_by_role("button", name="Set a corner")
    for keys in ("ArrowLeft ArrowUp", "", "Shift+ArrowDown Shift+ArrowDown"):
        setting.press("Enter")
        expect(section.locator(".corner.selected")).to_be_focused()
        for key in keys.split():
            page.keyboard.press(key)
    expect(told).to_have_text("Corner 3 of Nose: 60 % from the left, 60 % from the top.")
    setting.press("Enter")
    page.keyboard.press("Delete")
    expect(told).to_have_text("Corner 4 of Nose taken away; 3 corners left.")
    section.get_by_role("button", name="Close the outline").press("Enter")
    section.get_by_role("button", name="Save").press("Enter")
    expect(page.locator(".notice")).to_contain_text("Saved: side.")

    tail, nose = drawings(live_server, project)[0]["outlines"]
    assert (tail["zone"], nose["zone"]) == ("tail", "nose")
    assert [[round(x, 1), round(y, 1)] for x, y in tail["corners"]] == [
        [0.6, 0.2], [0.9, 0.2], [0.9, 0.8], [0.6, 0.8],
    ]  # fmt: skip
    assert nose["corners"] == [[0.495, 0.495], [0.545, 0.495], [0.595, 0.595]]
    check_map_and_take_it_back(page, live_server, project)


def faults_in(page: Page, part: str) -> list[str]:
    """Return what axe finds in a part of a page."""
    how = {"preload": False, "resultTypes": ["violations"]}
    return [one["id"] for one in Axe().run(page, part, how).response["violations"]]


def check_map_and_take_it_back(page: Page, address: str, project: int) -> None:
    """Half of the tail is filled from below; without the tick the map has its old drawing."""
    mapped = page.locator("#airframe")
    expect(mapped.locator("image")).to_be_attached()
    tail = mapped.get_by_role("button", name="Tail: 50 % accomplished", exact=False).first
    level = tail.locator(".wash").evaluate(
        "(wash) => { const box = document.getElementById(wash.getAttribute('clip-path')"
        ".slice(5, -1)).firstChild.getBBox(); const all = wash.getBBox();"
        " return [(box.y - all.y) / all.height, box.height / all.height]; }"
    )
    assert [round(one, 2) for one in level] == [0.5, 0.5]
    expect(mapped.locator(".untraced")).to_have_text("Not on the drawingWhole")
    section = page.locator("#drawings")
    section.get_by_label("The airframe map is drawn on it").uncheck()
    section.get_by_role("button", name="Save").click()
    expect(mapped.locator("image")).to_have_count(0)
    expect(mapped.get_by_role("group", name=re.compile("^Landplane")).first).to_be_attached()
    assert len(drawings(address, project)[0]["outlines"]) == 2
    page.locator(".notice").get_by_role("button", name="Undo").click()
    expect(mapped.locator("image")).to_be_attached()
