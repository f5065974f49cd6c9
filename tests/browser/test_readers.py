"""Sheets for readers who need them near, large, turned, still, or in colours of their own."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from ribstitch.assets import web_folder
from tests.browser.conftest import Light, OpenPage
from tests.browser.journeys import SHEETS, SIZES, wait_until_drawn

NEAR = (320, 640)
"""What a window of 1280 pixels has at 400 %, high enough for the title block to stay in sight."""
ELSEWHERE = [
    "evaluation-report", "import", "method-cards", "new-project", "packing-list", "statement",
]  # fmt: skip

CUT = """() => {
  const width = document.documentElement.clientWidth;
  const holds = (node) => {
    const style = getComputedStyle(node);
    return style.overflowX !== "visible" || style.clipPath !== "none" || style.position === "fixed";
  };
  const held = (node) => node !== document.body && (holds(node) || held(node.parentElement));
  return [...document.querySelectorAll("body *")].filter((node) => {
    const { left, right, width: own, height } = node.getBoundingClientRect();
    return own && height && (left < -1 || right > width + 1) && !held(node);
  }).filter((node) => !node.closest("#js-plotly-tester"))
    .map((node) => [node.tagName, node.getAttribute("class"), node.textContent.slice(0, 30)]);
}"""
"""What stands beyond the edges of the window, where nothing of its own slides it into sight."""

COVERED = """() => {
  const strip = document.querySelector(".title-block");
  const stops = [...document.querySelectorAll("main :is(a[href], button, input, select, summary)")]
    .filter((node) => node.checkVisibility({ visibilityProperty: true }) && !node.disabled);
  return stops.filter((node) => {
    node.focus();
    const { top, bottom } = node.getBoundingClientRect();
    return node === document.activeElement
      && (bottom <= 0 || top >= strip.getBoundingClientRect().top);
  }).map((node) => node.textContent || node.name);
}"""
"""What has the focus and cannot be seen: above the window, or under the title block."""


@pytest.mark.parametrize("sheet", SHEETS)
def test_a_sheet_holds_at_400_percent_turned_and_with_letters_twice_as_large(
    open_page: OpenPage, sheet: str
) -> None:
    """Looked at one after the other in one window: to load a sheet anew takes longest."""
    page = open_page(f"/{sheet}", NEAR)
    wait_until_drawn(page)
    check_near(page)
    check_turned(page)
    check_large_letters(page)


@pytest.mark.parametrize("page_name", ELSEWHERE)
def test_a_page_beside_the_sheets_holds_at_400_percent(open_page: OpenPage, page_name: str) -> None:
    page = open_page(f"/{page_name}", NEAR)
    wait_until_drawn(page)
    check_near(page)


def check_near(page: Page) -> None:
    """Nothing is cut, and what has the focus can be seen: WCAG 2.2, 1.4.10 and 2.4.11."""
    check_nothing_is_cut(page)
    expect(page.locator(".title-block")).to_have_css("position", "sticky")
    assert page.evaluate(COVERED) == []


def check_turned(page: Page) -> None:
    """On a phone whose words run from right to left the sheet turns, its drawings do not."""
    page.set_viewport_size({"width": SIZES[2][0], "height": SIZES[2][1]})
    page.evaluate("document.dir = 'rtl'")
    check_nothing_is_cut(page)
    ways = page.evaluate("""() => [...document.querySelectorAll("svg, .chart-canvas")]
      .map((node) => getComputedStyle(node).direction)""")
    assert set(ways) == {"ltr"}
    before, after = page.evaluate("""() => {
      const name = document.querySelector("h1");
      const range = document.createRange();
      range.selectNodeContents(name);
      const [room, words] = [name.getBoundingClientRect(), range.getBoundingClientRect()];
      return [words.left - room.left, room.right - words.right];
    }""")
    assert after <= 1 < before, "the name of the sheet begins at the right"
    page.evaluate("document.dir = ''")


def check_large_letters(page: Page) -> None:
    """In a browser whose reader has doubled the letters alone nothing is cut: WCAG 2.2, 1.4.4."""
    page.set_viewport_size({"width": SIZES[0][0], "height": SIZES[0][1]})
    session = page.context.new_cdp_session(page)
    session.send("Page.setFontSizes", {"fontSizes": {"standard": 32}})
    try:
        assert page.evaluate("getComputedStyle(document.documentElement).fontSize") == "32px"
        check_nothing_is_cut(page)
    finally:
        session.send("Page.setFontSizes", {"fontSizes": {"standard": 16}})
        session.detach()


def check_nothing_is_cut(page: Page) -> None:
    """No sideways scrolling, and nothing beyond the edges of the window."""
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    assert page.evaluate(CUT) == []


# Words that run from right to left.


def turned(page: Page, path: str) -> None:
    """Open a sheet whose words run from right to left."""

    def turn(route: Route) -> None:
        answer = route.fetch()
        body = answer.text().replace('<html lang="en"', '<html lang="en" dir="rtl"')
        route.fulfill(response=answer, body=body)

    page.route(lambda address: address.endswith(path), turn)
    page.goto(path)
    wait_until_drawn(page)
    assert page.evaluate("document.dir") == "rtl"


def test_arrows_turn_with_the_words_and_time_does_not(open_page: OpenPage) -> None:
    page = open_page(size=SIZES[2])
    turned(page, "/evaluation")
    before, after = page.locator("#walk .arrow").all()
    assert x_of(page, "#walk .button >> nth=0") > x_of(page, "#walk .button >> nth=1")
    for arrow in (before, after):
        expect(arrow).to_have_css("scale", "-1 1")
    expect(page.locator(".set-index [aria-current]")).to_be_in_viewport(ratio=0.98)
    turned(page, "/schedule")
    assert x_of(page, "button:has-text('Earlier')") < x_of(page, "button:has-text('Later')")
    turned(page, "/away")
    first, last = "figure.strip >> nth=0 >> .strip-ends span", "figure.strip >> nth=0"
    assert x_of(page, f"{first} >> nth=0") - x_of(page, last) < 2
    stamp = page.evaluate("""() => {
      const held = document.createElement("span");
      held.className = "stamp held";
      document.querySelector("main").append(held);
      return getComputedStyle(held).backgroundPositionX;
    }""")
    assert stamp.startswith("100%"), "the hatch of a stamp stands where its words begin"


def x_of(page: Page, selector: str) -> float:
    """Return how far from the left the first of these begins. [CSS pixels]"""
    box = page.locator(selector).first.bounding_box()
    assert box is not None
    return box["x"]


# Colours that the reader has chosen.

SYSTEM = ["Canvas", "CanvasText", "LinkText", "GrayText", "Highlight", "HighlightText"]
COLOURS = """(names) => {
  const probe = document.createElement("span");
  probe.style.forcedColorAdjust = "none";
  document.body.append(probe);
  const colours = names.map((name) => {
    probe.style.color = name;
    return getComputedStyle(probe).color;
  });
  probe.remove();
  return colours;
}"""
DRAWN = """() => {
  const shown = [...document.querySelectorAll("svg :is(path, rect, line, circle, text, tspan)")]
    .filter((node) => node.checkVisibility() && !node.closest("#js-plotly-tester"));
  const found = shown.flatMap((node) => {
    const { fill, stroke, fillOpacity, strokeOpacity, strokeWidth } = getComputedStyle(node);
    return [Number(fillOpacity) && fill, Number(strokeOpacity) && parseFloat(strokeWidth) && stroke]
      .filter((colour) => colour && !/^(none|url|rgba\\(.*, 0\\))/.test(colour))
      .map((colour) => `${colour} ${node.tagName} ${node.getAttribute("class")}`);
  });
  return [...new Set(found)];
}"""


def colour_tokens() -> list[str]:
    """Return the names of the tokens that are colours."""
    text = (web_folder() / "css" / "tokens.css").read_text(encoding="utf-8")
    names = re.findall(r"^  (--[\w-]+): light-dark\(", text, re.MULTILINE)
    assert "--ground" in names
    return names


@pytest.mark.parametrize(
    ("sheet", "light"),
    [
        ("today", "dark"),
        ("schedule", "light"),
        ("forecast", "dark"),
        ("away", "light"),
        ("money", "dark"),
    ],
)
def test_where_the_reader_chooses_the_colours_everything_is_drawn_in_those(
    open_page: OpenPage, sheet: str, light: Light
) -> None:
    page = open_page(size=SIZES[0], light=light)
    page.emulate_media(forced_colors="active")
    page.goto(f"/{sheet}")
    wait_until_drawn(page)
    allowed = set(page.evaluate(COLOURS, SYSTEM))
    tokens = colour_tokens()
    own = page.evaluate(COLOURS, [f"var({name})" for name in tokens])
    assert [name for name, colour in zip(tokens, own, strict=True) if colour not in allowed] == []
    drawn = page.evaluate(DRAWN)
    assert drawn, "the sheet has a drawing"
    assert [one for one in drawn if one.split(") ")[0] + ")" not in allowed] == []


# Words of the page, figures of the reader.


@pytest.mark.parametrize(
    ("locale", "written"),
    [
        ("fr-FR", ["3 Sept 2027", "3 Sept 2027, 13:05", "1\u202f234,5", "1,5M", ",\u202f"]),
        ("ar-EG", ["٣ Sept ٢٠٢٧", "٣ Sept ٢٠٢٧, ١:٠٥ pm", "١٬٢٣٤٫٥", "١٫٥M", "٫٬"]),
    ],
)
def test_months_are_in_the_language_of_the_page_and_figures_are_the_readers(
    browser: Browser, live_server: str, locale: str, written: list[str]
) -> None:
    """A screen reader speaks the page's language. French and Arabic separators are CLDR's."""
    page = browser.new_page(base_url=live_server, locale=locale, timezone_id="UTC")
    page.goto("/crew")
    wait_until_drawn(page)
    found = page.evaluate("""async () => {
      const its = await import("/assets/js/lib/format.js");
      const instant = its.formatInstant("2027-09-03T13:05:00Z");
      const { separators } = document.querySelector(".chart-canvas")._fullLayout;
      const figures = [its.formatNumber(1234.5), its.formatShort(1500000)];
      return [its.formatDate("2027-09-03"), instant, ...figures, separators];
    }""")
    assert [one.replace("\u00a0", " ") for one in found] == written
    page.close()


FIGURE: dict[str, Any] = {
    "data": [
        {
            "name": "2 Sept 2027",
            "text": ["likely 3 Sept 2027", "EUR 1,234; 2.5 days"],
            "customdata": [["Fri 3 Sept 2027", "by Fri 3 Sept 2027"]],
            "hovertemplate": "%{customdata[1]}<extra></extra>",
        }
    ],
    "layout": {"title": {"text": "September 2027"}, "meta": {"low": "2 Sept 2027"}},
}
"""A figure as the service letters it: what its reader sees, and codes beside it."""


@pytest.mark.parametrize(
    ("locale", "seen"),
    [
        ("en-US", ["likely Sep 3, 2027", "EUR 1,234; 2.5 days", "by Fri, Sep 3, 2027"]),
        ("de-DE", ["likely 3 Sept 2027", "1.234 EUR; 2,5 days", "by Fri, 3 Sept 2027"]),
    ],
)
def test_a_figure_is_lettered_as_its_reader_writes_and_its_codes_stay(
    browser: Browser, live_server: str, locale: str, seen: list[str]
) -> None:
    page = browser.new_page(base_url=live_server, locale=locale)
    page.goto("/no-network")
    figure = page.evaluate(
        """async (figure) => (await import("/assets/js/lib/figure-words.js")).worded(figure)""",
        FIGURE,
    )
    (trace,), layout = figure["data"], figure["layout"]
    lettered = [*trace["text"], trace["customdata"][0][1]]
    assert [one.replace("\u00a0", " ") for one in lettered] == seen
    assert layout["title"]["text"].startswith("Sep")
    assert (trace["name"], trace["customdata"][0][0]) == ("2 Sept 2027", "Fri 3 Sept 2027")
    assert layout["meta"] == FIGURE["layout"]["meta"]
    page.close()


# Motion.


def test_nothing_moves_for_who_asks_for_less_motion(open_page: OpenPage) -> None:
    page = open_page("/today", SIZES[0])
    wait_until_drawn(page)
    moving = """() => [...document.querySelectorAll("*")].filter((node) => {
      const { transitionDuration, animationName, scrollBehavior } = getComputedStyle(node);
      return transitionDuration !== "0s" || animationName !== "none" || scrollBehavior === "smooth";
    }).map((node) => node.tagName)"""
    assert page.evaluate(moving) == []
    page.emulate_media(reduced_motion="no-preference")
    assert page.evaluate(moving) == ["HTML"], "the way to a part of the sheet is the only motion"
    page.emulate_media(reduced_motion="reduce")
