"""The Money sheet and the owner's statement: figures, decisions, what is entered, paper."""

from __future__ import annotations

import random
import re
from datetime import date
from decimal import Decimal
from itertools import pairwise
from typing import Any

import httpx
import pytest
from playwright.sync_api import Locator, Page, expect

from tests.api.money_plans import money_plan
from tests.browser.conftest import DESKTOP, PHONE, OpenPage
from tests.browser.journeys import SIZES, answer, name_of_size, open_as, wait_until_drawn
from tests.browser.test_sheets import faults
from tests.browser.test_states import DAY, LONG, MARKUP, bring_in, open_project

TASKS = [
    {"id": "A", "name": "Patch the wing", "days": 10, "trade": "fabric", "chapter": "57"},
    {"id": "B", "name": "Overhaul the engine", "days": 20, "trade": "engine", "chapter": "85"},
]
CREW = [{"trade": "fabric", "label": "Fabric worker 1", "rate": "40"}]
BUDGET = [
    {"chapter": "57", "amount": "4000", "currency": "EUR"},
    {"chapter": "85", "amount": "9000", "currency": "EUR"},
]
HINGE = {
    "id": "A1", "name": "Corroded rudder hinge", "asked_on": DAY, "amount": "580.00", "hours": "12",
}  # fmt: skip
VARNISH = {
    "id": "A2", "name": "Second coat of varnish", "asked_on": DAY, "amount": "1240.50",
    "currency": "GBP",
}  # fmt: skip
RATE = {"currency": "GBP", "on": "2026-01-01", "rate": "1.15"}
BEARING = {
    "id": "C1", "name": "Thrust bearing", "state": "ordered", "amount": "1000.00",
    "currency": "GBP", "on": "2026-09-01", "chapter": "85",
}  # fmt: skip

SECTIONS = [
    "why", "chapters", "budget", "need", "funding", "earned", "currencies", "rates", "costs",
    "asked", "hours", "baselines",
]  # fmt: skip


def shop(address: str, **parts: Any) -> int:
    """Bring in a small plan with money in it."""
    return bring_in(
        address,
        **{
            "tasks": TASKS,
            "crew": CREW,
            "budget": BUDGET,
            "costs": [BEARING],
            "exchange_rates": [RATE],
            "over_and_above": [HINGE, VARNISH],
            **parts,
        },
    )


def of(address: str, project: int, path: str) -> Any:
    """Return what the service answers about a project."""
    return httpx.get(f"{address}/api/v1/projects/{project}{path}").raise_for_status().json()


def item(address: str, project: int, key: str) -> Any:
    """Return one over-and-above item as it stands."""
    return of(address, project, f"/over-and-above/{key}")


def open_money(
    open_page: OpenPage,
    project: int,
    role: str = "planner",
    size: tuple[int, int] = DESKTOP,
    *,
    unfold: str = "",
    watched: bool = True,
) -> Page:
    """Open the Money sheet of a project in a role, with one of its sections unfolded."""
    page = open_as(open_page, role, f"/money?project={project}", size, watched=watched)
    if unfold:
        open_section(page, unfold)
    return page


def open_section(page: Page, name: str) -> None:
    """Unfold a section of the Money sheet."""
    page.locator(f"#{name}-panel > summary").click()


def notice(page: Page) -> Locator:
    """Return where the page says what happened."""
    return page.locator("#notice .notice-text")


def plain(text: str | None) -> str:
    """Return a text with ordinary spaces."""
    return re.sub(r"\s+", " ", text or "").strip()


# The answer.


@pytest.mark.parametrize("size", SIZES[::2], ids=name_of_size)
def test_how_much_against_what_and_what_is_spent_are_in_sight_at_once(
    open_page: OpenPage, live_server: str, size: tuple[int, int]
) -> None:
    page = open_as(open_page, "owner", "/money", size)
    expect(page.locator(".money-by80")).to_contain_text("8 chances in 10")
    money = answer(live_server, "/money")
    likely = f"EUR {round(float(money['likely']['p50']), -2):,.0f}"
    expect(page.locator(".money-amount")).to_have_text(likely.replace(" ", "\u00a0"))
    expect(page.locator(".money-against")).to_contain_text("the budget of EUR\u00a0305,000")
    rule = page.get_by_role("img", name=re.compile("^Spent EUR.*budget EUR"))
    box = rule.bounding_box()
    strip = page.locator(".title-block").bounding_box()
    assert box is not None
    assert strip is not None
    assert box["y"] + box["height"] <= strip["y"], "without scrolling"


def test_figures_of_the_sheet_add_up_and_are_those_of_forecast_statement_and_what_if(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page("/money")
    wait_until_drawn(page)
    money = answer(live_server, "/money")
    foot = [Decimal(text.replace(",", "").replace("−", "-")) for text in page.locator(
        "#chapters tfoot td.numeric"
    ).all_text_contents()]  # fmt: skip
    over, budget, end, *parts = foot
    assert end == sum(parts) == Decimal(money["at_completion"])
    assert budget == Decimal(money["budget"])
    assert over == end - budget
    key = page.locator(".money-key dd").all_text_contents()
    assert foot[-1] == sum(Decimal(re.sub(r"[^\d.]", "", text)) for text in key[-3:-1])
    expect(page.locator("#chapters thead").first.locator("th").last).to_have_text("Still to come")
    likely = page.locator(".money-amount").text_content() or ""
    by80 = page.locator(".money-by80").text_content() or ""
    written = f"EUR\u00a0{round(Decimal(money['at_completion'])):,}"
    for other in ("/forecast", "/statement"):
        page.goto(other)
        wait_until_drawn(page)
        expect(page.locator(".money-key dd")).to_have_text(key)
        expect(page.locator("main")).to_contain_text(likely)
        expect(page.locator("main")).to_contain_text(by80)
    page.goto("/what-if")
    wait_until_drawn(page)
    page.get_by_role("button", name="Start an empty case").click()
    row = page.get_by_role("row").filter(has_text="Comes to, as written")
    expect(row).to_contain_text(written)
    expect(row).to_contain_text("costs the same")


def test_letters_of_the_rule_stay_legible_and_inside_on_a_narrow_phone(
    open_page: OpenPage,
) -> None:
    page = open_page("/money", (320, 640))
    wait_until_drawn(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    for text in page.locator(".money-rule text").all():
        box = text.bounding_box()
        assert box is not None
        assert box["height"] >= 12
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= 320


# Why it changed, and what stands folded.


def test_why_it_changed_adds_up_in_days_and_money_alike_on_money_and_statement(
    open_page: OpenPage, live_server: str
) -> None:
    """The demo's baseline was agreed for 19 November 2027 and EUR 305,000 in all."""
    page = open_page("/statement?month=2026-09")
    wait_until_drawn(page)
    approved = answer(live_server, "/statement")["approved"]
    days = (date.fromisoformat(approved["finish"]) - date(2027, 11, 19)).days
    moved = Decimal(answer(live_server, "/money")["at_completion"]) - 305_000
    expect(page.locator("#answer .money-written")).to_contain_text("It is likely to be EUR")
    told = []
    for _ in range(2):
        steps, chapters = (figures(table) for table in page.locator("#why table").all())
        assert sum(steps[:-1]) == steps[-1] == days
        assert sum(chapters[:-1]) == chapters[-1] == moved
        told.append(page.locator("#why").text_content())
        page.goto("/money#why-panel")
        wait_until_drawn(page)
        expect(page.locator("#why .why-sentence")).to_be_in_viewport()
    assert told[0] == told[1]


def figures(table: Locator) -> list[Decimal]:
    """Return the last figure of each line of a table."""
    texts = table.locator("tbody tr td:last-child, tfoot tr td:last-child").all_text_contents()
    return [Decimal(re.sub(r"[^\d.-]", "", text.replace("−", "-"))) for text in texts]


def test_sections_are_folded_on_a_phone_and_unfolded_by_links_keys_and_paper(
    open_page: OpenPage,
) -> None:
    page = open_page("/money", PHONE)
    wait_until_drawn(page)
    assert page.evaluate("document.documentElement.scrollHeight") < 4_000
    folds = page.locator("main > details.fold")
    assert all(plain(line) for line in folds.locator("> summary .fold-line").all_text_contents())
    page.get_by_role("link", name="How that adds up").tap()
    expect(page.locator("#why-panel")).to_have_attribute("open", "")
    page.locator("#why-panel > summary").press("Enter")
    expect(page.locator("details.fold[open]")).to_have_count(0)
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    expect(page.locator("details.fold:not([open])")).to_have_count(0)
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    expect(page.locator("details.fold[open]")).to_have_count(0)


def test_amounts_and_dates_in_sentences_are_written_as_the_reader_does(
    browser: Any, live_server: str
) -> None:
    """A German reader's amounts and dates, on both sheets, with all that is folded."""
    page = browser.new_page(base_url=live_server, locale="de-DE")
    end = f"{round(Decimal(answer(live_server, '/money')['at_completion'])):,}".replace(",", ".")
    for sheet in ("money", "statement?month=2026-09"):
        page.goto(f"/{sheet}")
        wait_until_drawn(page)
        expect(page.locator(".money-written")).to_contain_text(f"{end}\u00a0EUR")
        text = " ; ".join(page.locator("main :is(p, li, dd)").all_text_contents())
        assert not re.search(r"EUR\s\d|\d,\d{3}\b|\b\d{5,}\b|\d{4}-\d\d-\d\d", text), sheet
    page.close()


# Decisions.


def test_owner_says_yes_on_a_phone_in_two_taps(open_page: OpenPage, live_server: str) -> None:
    project = shop(live_server)
    page = open_money(open_page, project, "owner", PHONE)
    card = page.locator(".decision").filter(has_text="Corroded rudder hinge")
    card.get_by_role("button", name="Approve…").tap()
    assert faults(page) == []
    card.get_by_role("button", name="Yes: EUR 580.00").tap()
    expect(notice(page)).to_contain_text("Approved: Corroded rudder hinge.")
    expect(card).to_have_count(0)
    hinge = item(live_server, project, "A1")
    assert (hinge["state"], hinge["decided_by"], hinge["decided_on"]) == ("approved", "Owner", DAY)
    expect(page.locator(".decision .button").first).to_be_focused()
    for button in page.locator(".decision .button").all():
        box = button.bounding_box()
        assert box is not None
        assert box["height"] >= 48


def test_owner_says_no_with_a_ready_reason_in_two_taps(
    open_page: OpenPage, live_server: str
) -> None:
    project = shop(live_server)
    page = open_money(open_page, project, "owner", PHONE)
    card = page.locator(".decision").filter(has_text="Second coat of varnish")
    card.get_by_role("button", name="Decline…").tap()
    card.get_by_role("button", name="Not needed").tap()
    expect(notice(page)).to_contain_text("Declined: Second coat of varnish.")
    varnish = item(live_server, project, "A2")
    assert (varnish["state"], varnish["reason"]) == ("declined", "Not needed")


def test_no_without_a_reason_is_asked_for_one(open_page: OpenPage, live_server: str) -> None:
    project = shop(live_server)
    page = open_money(open_page, project, "owner")
    card = page.locator(".decision").first
    card.get_by_role("button", name="Decline…").press("Enter")
    card.get_by_role("button", name="No, with this reason").press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("say why not")
    assert item(live_server, project, "A1")["state"] == "waiting"
    card.get_by_label("Or another reason").fill("The old one is sound")
    card.get_by_role("button", name="No, with this reason").press("Enter")
    expect(notice(page)).to_contain_text("Declined")
    assert item(live_server, project, "A1")["reason"] == "The old one is sound"


def test_decision_on_a_price_that_was_changed_meanwhile_is_not_recorded(
    open_page: OpenPage, live_server: str
) -> None:
    """The refusal shows in the console, so nobody watches."""
    project = shop(live_server)
    page = open_money(open_page, project, "owner", watched=False)
    path = f"{live_server}/api/v1/projects/{project}/over-and-above/A1"
    httpx.patch(path, json={"amount": "990.00"}, headers={"If-Match": '"1"'}).raise_for_status()
    card = page.locator(".decision").first
    card.get_by_role("button", name="Approve…").click()
    card.get_by_role("button", name=re.compile("^Yes: EUR")).click()
    expect(notice(page)).to_contain_text("Not recorded: Corroded rudder hinge.")
    expect(page.locator(".decision").first).to_contain_text("990.00")
    assert item(live_server, project, "A1")["state"] == "waiting"


def test_planner_takes_a_decision_back(open_page: OpenPage, live_server: str) -> None:
    project = shop(live_server)
    page = open_money(open_page, project)
    card = page.locator(".decision").first
    card.get_by_role("button", name="Approve…").click()
    card.get_by_role("button", name=re.compile("^Yes: EUR")).click()
    page.locator("#notice").get_by_role("button", name="Undo").click()
    expect(page.locator(".decision")).to_have_count(2)
    assert item(live_server, project, "A1")["state"] == "waiting"


def test_owner_decides_otherwise_in_the_list(open_page: OpenPage, live_server: str) -> None:
    said = {**HINGE, "state": "approved", "decided_on": DAY, "decided_by": "Owner"}
    project = shop(live_server, over_and_above=[said])
    page = open_money(open_page, project, "owner", unfold="asked")
    expect(page.locator("#decisions")).to_contain_text("Nothing waits for a yes.")
    page.locator("#asked").get_by_role("button", name="Corroded rudder hinge").click()
    dialog = page.get_by_role("dialog")
    expect(dialog).to_contain_text("It can be decided otherwise")
    expect(dialog.get_by_role("button", name="Approve…")).to_have_count(0)
    dialog.get_by_role("button", name="Decline…").click()
    dialog.get_by_role("button", name="Not needed").click()
    expect(notice(page)).to_contain_text("Declined: Corroded rudder hinge.")
    assert item(live_server, project, "A1")["state"] == "declined"


def test_what_waits_is_announced_on_forecast_with_the_way_there(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_as(open_page, "owner", f"/forecast?project={shop(live_server)}", PHONE)
    waiting = page.locator("#decisions .waiting")
    expect(waiting).to_contain_text("Corroded rudder hinge")
    expect(waiting.get_by_role("listitem")).to_have_count(2)
    waiting.get_by_role("link").first.click()
    wait_until_drawn(page)
    expect(page.locator(".decision").first).to_be_in_viewport()


# Who may change what.


def test_lead_asks_and_does_not_decide(open_page: OpenPage, live_server: str) -> None:
    page = open_money(open_page, shop(live_server), "lead", unfold="asked")
    expect(page.locator("#decisions")).to_contain_text("The owner answers these here")
    expect(page.get_by_role("button", name="Approve…")).to_have_count(0)
    expect(page.get_by_role("button", name="Approve the plan as it stands")).to_have_count(0)
    expect(page.get_by_role("button", name="Ask for a yes")).to_be_visible()


def test_owner_reads_and_only_decides_and_approves(open_page: OpenPage, live_server: str) -> None:
    page = open_money(open_page, shop(live_server), "owner", unfold="costs")
    for name in ("Add a cost", "Ask for a yes", "Add hours", "Add a budget line", "Save"):
        expect(page.get_by_role("button", name=name)).to_have_count(0)
    page.locator("#costs").get_by_role("button", name="Thrust bearing").click()
    expect(page.get_by_role("dialog").get_by_label("Amount").first).to_be_disabled()


# What is entered.


def test_cost_is_added_changed_and_taken_back(open_page: OpenPage, live_server: str) -> None:
    project = shop(live_server)
    page = open_money(open_page, project, unfold="costs")
    page.get_by_role("button", name="Add a cost").click()
    dialog = page.get_by_role("dialog")
    dialog.get_by_role("button", name="Add a cost").click()
    expect(dialog.get_by_role("alert")).to_contain_text("Amount: what does it cost?")
    dialog.get_by_label("Name").fill("Plywood")
    dialog.get_by_label("Amount").first.fill("320.40")
    dialog.get_by_label("Chapter").fill("57")
    assert faults(page) == []
    dialog.get_by_role("button", name="Add a cost").click()
    expect(notice(page)).to_contain_text("Added: Plywood.")
    row = page.locator("#costs tbody tr").filter(has_text="Plywood")
    expect(row).to_contain_text("EUR\u00a0320.40")

    row.get_by_role("button", name="Plywood").click()
    dialog.get_by_label("Stands at").select_option("invoiced")
    dialog.get_by_role("button", name="Save").click()
    expect(notice(page)).to_contain_text("Saved: Plywood.")
    line = of(live_server, project, "/costs")["costs"][-1]
    assert [step["state"] for step in line["earlier"]] == ["estimate"]
    page.locator("#notice").get_by_role("button", name="Undo").click()
    expect(notice(page)).to_contain_text("Put back: Plywood.")
    assert of(live_server, project, "/costs")["costs"][-1]["state"] == "estimate"


def test_part_payments_are_entered_and_the_rest_stays_owed(
    open_page: OpenPage, live_server: str
) -> None:
    project = shop(live_server)
    page = open_money(open_page, project, unfold="costs")
    page.locator("#costs").get_by_role("button", name="Thrust bearing").click()
    dialog = page.get_by_role("dialog")
    dialog.locator("summary").filter(has_text="Payments").click()
    dialog.get_by_role("button", name="Add a payment").click()
    row = dialog.locator("[data-field=payments] .entry-row")
    row.get_by_label("Date").fill("2026-09-20")
    row.get_by_label("Amount").fill("300")
    dialog.get_by_role("button", name="Save").click()
    expect(notice(page)).to_contain_text("Saved: Thrust bearing.")
    expect(page.locator("#costs tbody tr").first).to_contain_text("GBP\u00a0300.00")
    money = of(live_server, project, "/money")
    assert (money["spent"], money["committed"]) == ("345.00", "805.00")


def test_terms_and_what_is_given_instead_of_money_are_entered_by_keys_and_taken_back(
    open_page: OpenPage, live_server: str
) -> None:
    project = shop(live_server)
    page = open_money(open_page, project, unfold="costs")
    page.locator("#costs").get_by_role("button", name="Thrust bearing").press("Enter")
    dialog = page.get_by_role("dialog")
    dialog.locator("summary").filter(has_text="Payments").press("Enter")
    dialog.get_by_role("button", name="Add a payment").press("Enter")
    payment = dialog.locator("[data-field=payments] .entry-row")
    payment.get_by_label("Date").fill("2026-09-20")
    payment.get_by_label("Amount").fill("250")
    payment.get_by_label("Given instead of money").fill("two spare magnetos")
    dialog.locator("summary").filter(has_text="When it falls due").press("Enter")
    for percent, days, at in (("40", "0", "order"), ("60", "14", "accepted")):
        dialog.get_by_role("button", name="Add a due part").press("Enter")
        due = dialog.locator("[data-field=dues] .entry-row").last
        due.get_by_label("Percent").fill(percent)
        due.get_by_label("Days after").fill(days)
        due.get_by_label("What happens").select_option(at)
    dialog.get_by_role("button", name="Save").press("Enter")
    expect(notice(page)).to_contain_text("Saved: Thrust bearing.")
    (line,) = of(live_server, project, "/costs")["costs"]
    assert [(one["amount"], one["in_kind"]) for one in line["payments"]] == [
        ("250", "two spare magnetos")
    ]
    assert [(one["percent"], one["days"], one["at"]) for one in line["dues"]] == [
        ("40", 0, "order"), ("60", 14, "accepted"),
    ]  # fmt: skip
    page.locator("#notice").get_by_role("button", name="Undo").press("Enter")
    expect(notice(page)).to_contain_text("Put back: Thrust bearing.")
    (line,) = of(live_server, project, "/costs")["costs"]
    assert (line["payments"], line["dues"]) == ([], [])


def test_an_hour_costs_more_from_a_date_on_and_that_can_be_taken_back(
    open_page: OpenPage, live_server: str
) -> None:
    project = shop(live_server)
    page = open_as(open_page, "planner", f"/settings?project={project}", PHONE)
    page.locator("#crew summary").filter(has_text="Fabric worker 1").tap()
    form = page.locator("#crew .thing").filter(has_text="Fabric worker 1").locator("form").first
    form.get_by_role("button", name="Add a later rate").tap()
    form.get_by_label("From").fill("2027-01-01")
    form.get_by_label("Cost of an hour, EUR").fill("44.50")
    form.get_by_role("button", name="Save").tap()
    expect(notice(page)).to_contain_text("Saved: Fabric worker 1")
    (crew,) = of(live_server, project, "/crew")["crew"]
    assert (crew["rate"], crew["rates"]) == ("40", [{"on": "2027-01-01", "rate": "44.50"}])
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
    page.locator("#notice").get_by_role("button", name="Undo").tap()
    expect(notice(page)).to_contain_text("Put back: Fabric worker 1")
    assert of(live_server, project, "/crew")["crew"][0]["rates"] == []


def test_payment_over_the_amount_is_kept_and_said(open_page: OpenPage, live_server: str) -> None:
    paid = {**BEARING, "payments": [{"on": "2026-09-02", "amount": "1250.00"}]}
    project = shop(live_server, costs=[paid])
    sentences = [one["sentence"] for one in of(live_server, project, "/money")["flags"]]
    assert sentences
    page = open_money(open_page, project, unfold="costs")
    expect(page.locator("#costs-note")).to_contain_text("One line is worth a look")
    expect(page.locator("#costs .flag")).to_have_count(len(sentences))


def test_what_is_odd_but_belongs_to_no_cost_line_is_said_too(
    open_page: OpenPage, live_server: str
) -> None:
    own = {"currency": "EUR", "on": "2026-09-02", "rate": "1.1"}
    project = shop(live_server, exchange_rates=[RATE, own])
    page = open_money(open_page, project, unfold="costs")
    note = page.locator("#costs-note")
    expect(note).to_contain_text("EUR is the currency of the project.")
    expect(note).not_to_contain_text("worth a look")


def test_amount_that_is_none_is_refused_beside_its_field(
    open_page: OpenPage, live_server: str
) -> None:
    """The refusal shows in the console, so nobody watches."""
    page = open_money(open_page, shop(live_server), unfold="costs", watched=False)
    page.locator("#costs").get_by_role("button", name="Thrust bearing").click()
    dialog = page.get_by_role("dialog")
    dialog.get_by_label("Amount").first.fill("a lot")
    dialog.get_by_role("button", name="Save").click()
    expect(dialog.get_by_role("alert")).to_contain_text("Amount")
    expect(dialog.get_by_label("Amount").first).to_have_value("a lot")
    expect(dialog.get_by_label("Amount").first).to_have_attribute("aria-invalid", "true")


def test_budget_hours_income_and_rates_are_added(open_page: OpenPage, live_server: str) -> None:
    project = shop(live_server)
    page = open_money(open_page, project, unfold="chapters")
    dialog = page.get_by_role("dialog")

    page.get_by_text("The budget, line by line").click()
    page.get_by_role("button", name="Add a budget line").click()
    dialog.get_by_label("Chapter").fill("61")
    dialog.get_by_label("Amount").fill("2500")
    dialog.get_by_role("button", name="Add a budget line").click()
    expect(notice(page)).to_contain_text("Added: Chapter 61.")
    expect(page.locator("#chapters tbody")).to_contain_text("61")

    open_section(page, "hours")
    page.get_by_role("button", name="Add hours").click()
    dialog.get_by_label("Work").select_option("A")
    dialog.get_by_label("Hours").fill("7.5")
    dialog.get_by_label("Who").fill("Fabric worker 1")
    dialog.get_by_role("button", name="Add hours").click()
    expect(notice(page)).to_contain_text("Added: Patch the wing.")

    open_section(page, "need")
    page.get_by_text("What is on the account, and what comes in").click()
    page.get_by_role("button", name="Add money that comes in").click()
    dialog.get_by_label("Name").fill("Owner, monthly")
    dialog.get_by_label("Amount").fill("900")
    dialog.get_by_label("From").fill("2026-11-01")
    dialog.get_by_label("How often").select_option("1")
    dialog.get_by_role("button", name="Add money that comes in").click()
    expect(notice(page)).to_contain_text("Added: Owner, monthly.")
    assert of(live_server, project, "/funding")["funding"][0]["every_months"] == 1

    open_section(page, "currencies")
    page.locator("summary").filter(has_text="Exchange rates").click()
    page.get_by_role("button", name="Add a rate").click()
    dialog.get_by_label("Currency").fill("usd")
    dialog.get_by_label("What one of it is worth, EUR").fill("0.9")
    dialog.get_by_role("button", name="Add a rate").click()
    expect(notice(page)).to_contain_text("Added: USD.")
    money = of(live_server, project, "/money")
    assert Decimal(money["budget"]) == Decimal(15500)
    assert Decimal(money["spent"]) == Decimal(300)


def test_account_says_when_it_runs_dry(open_page: OpenPage, live_server: str) -> None:
    project = shop(live_server)
    page = open_money(open_page, project, unfold="need")
    page.get_by_text("What is on the account, and what comes in").click()
    page.get_by_label("On the account, EUR").fill("10")
    page.get_by_label("On which date").fill(DAY)
    page.locator("#account").get_by_role("button", name="Save").click()
    expect(notice(page)).to_contain_text("Saved: the account.")
    dry = of(live_server, project, "/money")["cash"]["dry"]
    assert dry is not None
    expect(page.locator("#need .lead b")).to_be_visible()
    page.locator("#need .chart summary").click()
    expect(page.locator("#need tbody tr").first).to_contain_text("short of")


def test_plan_is_approved_as_it_stands_and_earned_value_begins(
    open_page: OpenPage, live_server: str
) -> None:
    project = shop(live_server)
    page = open_money(open_page, project, "owner", unfold="baselines")
    expect(page.locator("#earned .empty-state")).to_contain_text("Once a plan is approved")
    page.locator("#baselines summary").click()
    page.get_by_role("button", name="Approve the plan as it stands").click()
    expect(page.get_by_role("alert")).to_contain_text("say why")
    page.locator("#baselines").get_by_label("Reason").fill("Agreed at the start")
    page.get_by_role("button", name="Approve the plan as it stands").click()
    open_section(page, "earned")
    expect(notice(page)).to_contain_text("are approved as they stand")
    expect(page.locator("#baselines tbody tr")).to_contain_text("Agreed at the start")
    terms = page.locator("#earned tbody tr")
    expect(terms.filter(has_text="Cost performance index")).to_contain_text("not yet")
    names = [plain(text) for text in page.locator("#earned .terms th").all_text_contents()]
    for short in ("BAC", "PV", "EV", "AC", "CV", "SV", "CPI", "SPI", "EAC", "ETC", "VAC", "TCPI"):
        assert any(re.fullmatch(rf"[A-Z][a-z -]+ {short}", name) for name in names), short
    assert faults(page) == []


# Amounts out of the ordinary.


def test_amounts_are_written_to_their_own_minor_unit_without_rounding(
    open_page: OpenPage, live_server: str
) -> None:
    """Minor units of ISO 4217: none for JPY, three for KWD; a float would lose the last cent."""
    costs = [
        {"id": "J", "name": "Dials", "amount": "350000", "currency": "JPY", "state": "ordered"},
        {"id": "K", "name": "Oil", "amount": "120.125", "currency": "KWD", "state": "ordered"},
        {"id": "E", "name": "Hangar", "amount": "1234567890123.45", "currency": "EUR",
         "state": "ordered"},
        {"id": "N", "name": "Credit", "amount": "-75.50", "currency": "EUR", "state": "invoiced"},
    ]  # fmt: skip
    rates = [{"currency": "JPY", "on": "2026-01-01", "rate": "0.006"}]
    project = shop(live_server, costs=costs, exchange_rates=rates, over_and_above=[])
    page = open_money(open_page, project)
    rows = plain(page.locator("#costs tbody").text_content())
    for text in ("JPY 350,000", "KWD 120.125", "EUR 1,234,567,890,123.45", "−EUR 75.50"):
        assert text in rows, text
    assert "JPY 350,000." not in rows
    missing = of(live_server, project, "/money")["missing"]
    assert any("KWD" in sentence for sentence in missing)
    expect(page.locator("#answer .flags li")).to_have_count(len(missing))
    expect(page.locator("#currencies")).to_contain_text("no rate is entered")
    assert page.evaluate("document.documentElement.scrollWidth") <= DESKTOP[0]
    assert faults(page) == []


def test_sums_of_the_page_are_exact(open_page: OpenPage) -> None:
    """Against Python's decimal, on amounts that a float cannot hold."""
    dice = random.Random(20261009)
    amounts = [
        str(Decimal(dice.randint(-(10**17), 10**17)).scaleb(-dice.choice([0, 2, 3])))
        for _ in range(200)
    ]
    page = open_page("/new-project")
    told = page.evaluate(
        """async (amounts) => {
          const { sum, minus, compare } = await import("/assets/js/lib/amounts.js");
          const pairs = amounts.slice(1).map((one, at) => [amounts[at], one]);
          return { sum: sum(amounts), minus: pairs.map(([a, b]) => minus(a, b)),
            compare: pairs.map(([a, b]) => compare(a, b)) };
        }""",
        amounts,
    )
    exact = [Decimal(amount) for amount in amounts]
    assert Decimal(told["sum"]) == sum(exact)
    pairs = list(pairwise(exact))
    assert [Decimal(text) for text in told["minus"]] == [a - b for a, b in pairs]
    assert told["compare"] == [(a > b) - (a < b) for a, b in pairs]


def test_thousand_cost_lines_are_searched_and_turned_over(
    open_page: OpenPage, live_server: str
) -> None:
    costs = [
        {"id": f"C{number}", "name": f"Part {number}", "amount": "10.00", "currency": "EUR"}
        for number in range(1000)
    ]
    page = open_money(open_page, shop(live_server, costs=costs, over_and_above=[]), unfold="costs")
    panel = page.locator("#costs")
    expect(panel.locator("tbody tr")).to_have_count(50)
    panel.get_by_role("button", name="Next page").click()
    expect(panel.get_by_role("status")).to_have_text("51 to 100 of 1,000")
    panel.get_by_label("Search").fill("part 777")
    expect(panel.locator("tbody tr")).to_have_count(1)


@pytest.mark.parametrize("size", [DESKTOP, PHONE], ids=name_of_size)
def test_long_names_and_markup_stay_text_and_within_the_window(
    open_page: OpenPage, live_server: str, size: tuple[int, int]
) -> None:
    project = shop(
        live_server,
        costs=[
            {**BEARING, "name": LONG, "document": LONG},
            {**BEARING, "id": "C2", "name": MARKUP},
        ],
        over_and_above=[{**HINGE, "name": LONG}, {**VARNISH, "name": MARKUP}],
        budget=[{**BUDGET[0], "name": LONG}],
    )
    page = open_money(open_page, project, "owner", size)
    for sheet in ("money", "statement"):
        if sheet != "money":
            open_project(page, sheet, project)
        assert page.evaluate("document.documentElement.scrollWidth") <= size[0], sheet
        assert page.locator("main img:not([src^='data:'])").count() == 0
        if size == PHONE:
            assert faults(page) == [], sheet


# Little to say.


def test_plan_without_money_says_what_to_enter(open_page: OpenPage, live_server: str) -> None:
    project = bring_in(live_server, tasks=TASKS)
    page = open_money(open_page, project)
    expect(page.locator("#answer")).to_contain_text("No budget is set yet.")
    expect(page.locator("#costs")).to_contain_text("No cost is entered yet.")
    expect(page.locator("#hours")).to_contain_text("No hours are entered yet.")
    expect(page.locator("#asked")).to_contain_text("Nothing was asked for over and above")
    expect(page.locator("#baselines")).to_contain_text("No plan is approved yet")
    expect(page.locator("#earned")).to_contain_text("Once a plan is approved")
    expect(page.locator("#currencies")).to_contain_text("no exchange rate can change it")
    assert faults(page) == []
    open_project(page, "statement", project)
    expect(page.locator("#answer")).to_contain_text("No budget is set.")
    assert faults(page) == []


def test_without_a_budget_nothing_is_called_over_it(open_page: OpenPage, live_server: str) -> None:
    cost = {"id": "C1", "name": "Cloth", "amount": "90.00", "currency": "EUR", "chapter": "57"}
    hours = {"id": "H1", "task": "A", "on": DAY, "hours": "6"}
    project = bring_in(live_server, tasks=TASKS, costs=[cost], hours=[hours])
    page = open_page(size=SIZES[1])
    for sheet in ("money", "statement"):
        open_project(page, sheet, project)
        chapters = page.locator("#chapters")
        expect(chapters.locator("caption")).to_contain_text("No budget is set.")
        expect(chapters.locator("table")).to_contain_text("90.00")
        expect(chapters.locator("thead")).not_to_contain_text("Over")
    wide = "one => one.scrollWidth - one.clientWidth"
    assert page.locator("#chapters .table-scroll").evaluate(wide) == 0
    expect(page.locator("#done")).to_contain_text("Paid: EUR 0; 6 hours of labour.")


def test_plan_without_work_has_a_money_sheet_all_the_same(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_money(open_page, bring_in(live_server))
    expect(page.locator("#chapters")).to_contain_text("No chapter has a budget or a cost yet.")
    assert faults(page) == []


# Paper.


@pytest.mark.parametrize("size", SIZES[::2], ids=name_of_size)
def test_statement_says_when_how_much_and_why_on_every_screen(
    open_page: OpenPage, live_server: str, size: tuple[int, int]
) -> None:
    page = open_as(open_page, "owner", "/statement?month=2026-09", size)
    told = answer(live_server, "/statement?month=2026-09")
    figures = page.locator(".statement-figure")
    expect(figures.first.locator("time")).to_have_attribute("datetime", told["likely_finish"])
    expect(page.locator("#month")).to_contain_text("September 2026")
    expect(page.locator("#waits li")).to_have_count(len(told["decisions"]))
    for sentence in ("Paid: EUR", "the budget of EUR", "Possible is the same at the dates"):
        expect(page.locator("main")).to_contain_text(sentence)
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert faults(page) == []


def test_the_keys_that_print_draw_what_is_folded_first(open_page: OpenPage) -> None:
    page = open_page("/money")
    wait_until_drawn(page)
    page.evaluate(
        """print = () => {
          document.body.dataset.drawn = document.querySelectorAll(".js-plotly-plot").length;
        }"""
    )
    page.keyboard.press("Control+p")
    expect(page.locator("body")).to_have_attribute("data-drawn", "2")


def test_statement_prints_on_at_most_two_pages_with_boxes_to_tick(open_page: OpenPage) -> None:
    page = open_page("/statement?month=2026-09")
    wait_until_drawn(page)
    page.emulate_media(media="print")
    expect(page.locator(".answer-box").first).to_be_visible()
    expect(page.get_by_role("button", name="Print the statement")).to_be_hidden()
    paper = page.pdf(prefer_css_page_size=True)
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", paper)
    assert 1 <= len(boxes) <= 2
    width, height = (float(side) for side in boxes[0])
    assert height > width


def test_statement_turns_to_the_month_before_and_back(open_page: OpenPage) -> None:
    page = open_page("/statement")
    wait_until_drawn(page)
    expect(page.locator("#month")).to_contain_text("October 2026")
    assert page.get_by_role("link", name="November 2026 →").count() == 0
    page.get_by_role("link", name="← September 2026").click()
    wait_until_drawn(page)
    expect(page.locator("#month")).to_contain_text("September 2026")
    expect(page).to_have_url(re.compile(r"month=2026-09"))
    expect(page.get_by_role("link", name="October 2026 →")).to_be_visible()


def test_money_at_night_and_unfolded_has_no_faults(open_page: OpenPage, live_server: str) -> None:
    """A small plan with lines of every kind: it shows all that the demo's does, less often."""
    with httpx.Client(base_url=f"{live_server}/api/v1") as planner:
        planner.put("/session", json={"role": "planner"}).raise_for_status()
        made = planner.post("/projects", json=money_plan()).raise_for_status()
        project = made.json()["id"]
        agreed = planner.post(f"/projects/{project}/baselines", json={"reason": "Agreed"})
        agreed.raise_for_status()
    page = open_page(f"/money?project={project}", light="dark")
    wait_until_drawn(page)
    folds = page.locator("main details")
    folds.evaluate_all("all => all.forEach((one) => { one.open = true; })")
    for name in SECTIONS:
        expect(page.locator(f"#{name} tbody tr").first).to_be_visible()
    assert faults(page) == []


def test_tab_key_reaches_decisions_lists_and_statement(open_page: OpenPage) -> None:
    page = open_as(open_page, "owner", "/money")
    for name in ("Approve…", "Decline…", "Print this sheet"):
        page.get_by_role("button", name=name).first.focus()
        expect(page.get_by_role("button", name=name).first).to_be_focused()
    page.get_by_role("button", name="Approve…").first.press("Enter")
    yes = page.get_by_role("button", name=re.compile("^Yes: "))
    expect(yes).to_be_focused()
    page.keyboard.press("Shift+Tab")
    expect(page.get_by_role("button", name="Decline…").first).to_be_focused()
