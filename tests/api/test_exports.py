"""Tables to open elsewhere: the same in both kinds of file, and what stands in them."""

from __future__ import annotations

import io
from datetime import date, datetime
from decimal import Decimal
from typing import Any, get_args

import openpyxl
import pandas as pd
import pytest
from openpyxl.worksheet.worksheet import Worksheet

from ribstitch.api.routers.exports import Name
from ribstitch.services.exports import EXPORTS
from tests.api.asking import Api, assert_problem, exported
from tests.api.money_plans import money_plan

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
HOSTILE = [
    "=cmd()",
    "+1",
    "-1+2",
    "@SUM(A1)",
    "=HYPERLINK(A1)",
    "#N/A",
    "TRUE",
    "1e3",
    "2026-01-05",
]


@pytest.fixture
def taken_in() -> dict[str, Any]:
    """A plan that has money in it."""
    return money_plan()


def book_of(api: Api, name: str) -> bytes:
    """Return an exported table as a workbook."""
    answer = api.get(f"/exports/{name}.xlsx")
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == XLSX
    assert answer.headers["content-disposition"] == f'attachment; filename="{name}.xlsx"'
    return answer.content


def sheet_of(book: bytes) -> Worksheet:
    """Open a workbook's only sheet with the library that did not compute what is in it."""
    (sheet,) = openpyxl.load_workbook(io.BytesIO(book)).worksheets
    return sheet


def is_same(text: str, value: Any) -> bool:
    """Return whether a cell of a workbook holds what the comma-separated table says."""
    match value:
        case None | "":
            return text == ""
        case datetime():
            return text == value.date().isoformat()
        case int() | float():
            return Decimal(text) == Decimal(str(value))
        case _:
            return text.removeprefix("'") == str(value).removeprefix("'")


def test_workbooks_hold_cell_by_cell_what_the_comma_separated_tables_do(settled_demo: Api) -> None:
    """Read with openpyxl and with pandas; money and days are numbers, dates are dates."""
    for name, table in EXPORTS.items():
        lines, book = exported(settled_demo, name), book_of(settled_demo, name)
        sheet = sheet_of(book)
        assert sheet.title == name
        assert len(lines) == sheet.max_row - 1 > 0
        head, *rows = sheet.iter_rows()
        assert tuple(cell.value for cell in head) == table.columns
        frame = pd.read_excel(io.BytesIO(book), dtype=object, keep_default_na=False)
        for line, row, read in zip(lines, rows, frame.to_dict("records"), strict=True):
            for cell, column in zip(row, table.columns, strict=True):
                assert is_same(line[column], cell.value), (name, column, line, cell.value)
                assert is_same(line[column], read[column]), (name, column, line, read)
                assert cell.data_type in {"s", "n", "d"}


def test_amounts_days_and_dates_of_a_workbook_are_cells_of_their_kind(lone_api: Api) -> None:
    assert lone_api.post("/costs", {"id": "J", "amount": "5", "currency": "JPY"}).status_code == 201
    sheet = sheet_of(book_of(lone_api, "costs"))
    columns = EXPORTS["costs"].columns
    rows = {row[0].value: dict(zip(columns, row, strict=True)) for row in sheet.iter_rows(2)}
    engine = rows["C2"]
    assert (engine["amount"].value, engine["amount"].data_type) == (4000, "n")
    assert engine["amount"].number_format == '#,##0.00 "GBP"'
    assert engine["paid_worth"].number_format == '#,##0.00 "EUR"'
    assert rows["J"]["amount"].number_format == '#,##0 "JPY"'
    worked = sheet_of(book_of(lone_api, "hours"))["A2"]
    assert (worked.data_type, worked.number_format) == ("d", "yyyy-mm-dd")
    tasks = sheet_of(book_of(lone_api, "tasks"))
    assert tasks.cell(2, EXPORTS["tasks"].columns.index("days") + 1).value == 2


def test_head_of_a_workbook_is_bold_and_stays_in_view_over_columns_wide_enough(
    settled_demo: Api,
) -> None:
    sheet = sheet_of(book_of(settled_demo, "tasks"))
    assert sheet.freeze_panes == "A2"
    assert all(cell.font.bold for cell in next(sheet.iter_rows()))
    assert not sheet["A2"].font.bold
    widths = [one.width for one in sheet.column_dimensions.values()]
    assert len(widths) == sheet.max_column
    assert min(widths) >= 9
    assert max(widths) <= 52
    assert sheet.column_dimensions["I"].width >= len("2026-01-05")


def test_text_that_a_spreadsheet_could_run_or_reckon_with_stays_text(lone_api: Api) -> None:
    for number, name in enumerate(HOSTILE):
        new = {"id": f"H{number}", "amount": "-12.50", "currency": "EUR", "name": name}
        assert lone_api.post("/costs", new).status_code == 201
    book = book_of(lone_api, "costs")
    lines = list(sheet_of(book).iter_rows())[-len(HOSTILE) :]
    assert [line[1].value for line in lines] == HOSTILE
    assert {line[1].data_type for line in lines} == {"s"}
    assert {line[10].value for line in lines} == {-12.5}
    frame = pd.read_excel(io.BytesIO(book), dtype=object, keep_default_na=False)
    assert list(frame["name"])[-len(HOSTILE) :] == HOSTILE


def test_line_ends_and_characters_that_no_cell_can_hold_do_no_harm(lone_api: Api) -> None:
    new = {"id": "C9", "amount": "1", "currency": "EUR", "name": "Bolts\r\nnuts\rpins\x01\ufffe"}
    assert lone_api.post("/costs", new).status_code == 201
    *_, line = sheet_of(book_of(lone_api, "costs")).iter_rows()
    assert line[1].value == "Bolts\nnuts\npins\ufffd\ufffd"


def test_tasks_are_exported_with_the_dates_of_the_schedule(settled_demo: Api) -> None:
    lines = {one["id"]: one for one in exported(settled_demo, "tasks")}
    activities = [
        one for one in settled_demo.read("/schedule")["activities"] if one["kind"] == "task"
    ]
    assert set(lines) == {one["id"] for one in activities}
    for one in activities:
        line = lines[one["id"]]
        assert line["name"] == one["name"]
        if line["state"] == "dropped":
            assert line["start"] == line["finish"] == ""
            continue
        assert (line["start"], line["finish"]) == (one["start"], one["finish"])
        if line["state"] == "done":
            assert line["late_finish"] == line["total_float_days"] == ""
            continue
        assert line["late_finish"] == one["late_finish"]
        assert abs(float(line["total_float_days"]) - one["total_float_days"]) <= 0.0005
        assert line["critical"] == ("yes" if one["critical"] else "no")


def test_a_dropped_task_and_a_dropped_item_are_exported_without_dates(lone_api: Api) -> None:
    assert lone_api.patch("/tasks/T2", {"status": {"state": "dropped"}}).status_code == 200
    assert lone_api.patch("/send-outs/S2", {"dropped": True}).status_code == 200
    task = exported(lone_api, "tasks")[1]
    assert (task["state"], task["start"], task["finish"]) == ("dropped", "", "")
    item = exported(lone_api, "send-outs")[1]
    assert (item["stage"], item["expected_back"], item["need_by"]) == ("dropped", "", "")


def test_send_outs_vendors_links_and_crew_are_exported_as_the_sheets_show_them(
    settled_demo: Api,
) -> None:
    away = settled_demo.read("/away")
    items = {one["id"]: one for one in exported(settled_demo, "send-outs")}
    for one in away["send_outs"]:
        line = items[one["id"]]
        for key in ("stage", "expected_back", "need_by", "last_safe_ship", "promised"):
            assert line[key] == (one[key] or ""), (one["id"], key)
    vendors = {one["id"]: one for one in exported(settled_demo, "vendors")}
    for one in away["vendors"]:
        line = vendors[one["id"]]
        assert int(line["past_jobs"]) == one["history_count"]
        assert int(line["open_items"]) == len(one["open"])
    plan = settled_demo.read("/plan-file")
    links = exported(settled_demo, "links")
    assert [(one["from"], one["to"]) for one in links] == [
        (one["from"], one["to"]) for one in plan["links"]
    ]
    driven = {one["id"]: one["driven_by"] for one in settled_demo.read("/schedule")["activities"]}
    ties = {(one["from"], one["to"]) for one in links if one["driving"] == "yes"}
    assert ties
    assert all(before in driven[after] for before, after in ties)
    crew = exported(settled_demo, "crew")
    assert [one["trade"] for one in crew] == [one["trade"] for one in plan["crew"]]


def test_crew_is_exported_with_the_rate_of_the_as_of_date(lone_api: Api) -> None:
    key = lone_api.read("/crew")["crew"][0]["key"]
    later = [{"on": "2026-02-02", "rate": "33.00"}, {"on": "2026-02-03", "rate": "99.00"}]
    assert lone_api.patch(f"/crew/{key}", {"rates": later}).status_code == 200
    assert exported(lone_api, "crew")[0]["rate"] == "33.00"


def test_tables_have_the_names_that_addresses_take(lone_api: Api) -> None:
    assert get_args(Name) == tuple(EXPORTS)
    assert_problem(lone_api.get("/exports/wages.xlsx"), 422, "wages")
    assert date.fromisoformat(exported(lone_api, "tasks")[0]["start"]) == date(2026, 1, 5)
