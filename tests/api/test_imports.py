"""Tables on their way into a plan, as the page asks for it."""

from __future__ import annotations

from typing import Any

import pytest
from httpx2 import Response
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ribstitch.spreadsheets.tables import TABLES
from tests.api.asking import Api, assert_problem, csv_rows, small_plan

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
LETTERS = "idayseno,;\t|\"'\r\n=-é/.0123"
FOUND = (
    "\ufeffWalk-round;;;\r\n;;;\r\nNo;Area;Snag;Qty;Date seen\r\n"
    'F1;tail;"Dent\r\nat the root";1,5;13/01/2026\r\nF2;nose;Crack;2;14/01/2026\r\n'
).encode()


@pytest.fixture
def taken_in() -> dict[str, Any]:
    """The small plan with one finding."""
    return small_plan(findings=[{"id": "F0", "seen": "Dirt"}])


def send(api: Api, path: str, data: bytes, kind: str = "text/csv", **query: Any) -> Response:
    headers = {"Content-Type": kind}
    url = f"{api.root}/imports{path}"
    return api.client.post(url, content=data, headers=headers, params=query)


def read(answer: Response) -> dict[str, Any]:
    assert answer.status_code == 200, answer.text
    content: dict[str, Any] = answer.json()
    return content


def test_a_file_is_looked_at(lone_api: Api) -> None:
    found = read(send(lone_api, "/findings/look", FOUND))
    assert (found["sheets"], found["sheet"], found["header"], found["rows"]) == ([""], 0, 3, 2)
    assert [row["row"] for row in found["top"]] == [1, 3, 4, 5]
    assert [(one["heading"], one["match"]) for one in found["columns"]] == [
        ("No", "id"), ("Area", "zone"), ("Snag", "seen"), ("Qty", "quantity"),
        ("Date seen", "seen_on"),
    ]  # fmt: skip
    assert found["columns"][3]["samples"] == ["1,5", "2"]
    needed = [one["name"] for one in found["fields"] if one["key"] or one["needed"]]
    assert needed == ["id", "seen"]
    other = read(send(lone_api, "/findings/look", FOUND, header=4))
    assert (other["rows"], other["columns"][0]["heading"]) == (1, "F1")


def test_a_table_is_tried_taken_in_and_taken_back(lone_api: Api) -> None:
    before = lone_api.read("/plan-file")
    trial = read(send(lone_api, "/findings/try", FOUND))
    assert trial["counts"] == {
        "added": 1, "changed": 0, "unchanged": 0, "kept": 0, "refused": 1,
    }  # fmt: skip
    said = 'there is no zone "nose" in the plan'
    assert trial["problems"] == [{"row": 5, "column": "Area", "value": "nose", "sentence": said}]
    version = trial["plan_version"]
    refused = send(lone_api, "/findings/apply", FOUND, plan_version=version)
    assert_problem(refused, 422, "row 5", '"nose"')
    assert lone_api.read("/plan-file") == before
    done = read(send(lone_api, "/findings/apply", FOUND, plan_version=version, rows="good"))
    assert (done["kind"], done["key"], done["counts"]["added"]) == ("finding", "F1", 1)
    assert lone_api.read("/findings/F1")["quantity"] == "1.5"
    stale = send(lone_api, "/findings/apply", FOUND, plan_version=version, rows="good")
    assert_problem(stale, 412)
    assert lone_api.post("/undo", {"kind": "finding", "key": "F1"}).status_code == 200
    assert lone_api.read("/plan-file") == before


def test_the_user_says_what_the_columns_are(lone_api: Api) -> None:
    data = b"a,b,c\nF0,Clean,03/01/2026\n"
    query = {"match": "id,seen,seen_on", "existing": "update"}
    trial = read(send(lone_api, "/findings/try", data, **query))
    assert [(one["about"], one["columns"]) for one in trial["questions"]] == [("dates", ["c"])]
    query["dates"] = "day_first"
    trial = read(send(lone_api, "/findings/try", data, **query))
    assert (trial["counts"]["changed"], trial["questions"]) == (1, [])
    kept = read(send(lone_api, "/findings/try", data, match="id,seen,"))
    assert kept["counts"]["kept"] == 1
    assert_problem(send(lone_api, "/findings/try", data), 422, 'which column of the file is "id"')


def test_a_large_file_is_answered_by_its_first_rows(lone_api: Api) -> None:
    """However far down somebody says the head is; and with its first problems."""
    rows = [f"F{number},Dent,nose" for number in range(2, 1002)]
    data = "\n".join(["id,seen,zone", *rows]).encode()
    found = read(send(lone_api, "/findings/look", data, header=900))
    assert [one["row"] for one in found["top"]] == [*range(1, 13), 900]
    assert (found["rows_in_all"], found["rows"]) == (1001, 101)
    high = read(send(lone_api, "/findings/look", data, header=2))
    assert [one["row"] for one in high["top"]] == list(range(1, 13))
    trial = read(send(lone_api, "/findings/try", data))
    assert (len(trial["problems"]), trial["problems_in_all"]) == (500, 1000)
    assert trial["counts"]["refused"] == 1000
    every = send(lone_api, "/findings/problems.csv", data).content.splitlines()
    assert len(every) == 1001


def test_the_problems_can_be_taken_along(lone_api: Api) -> None:
    data = b"id,seen,zone\nF1,Dent,=cmd()\n"
    answer = send(lone_api, "/findings/problems.csv", data)
    (row,) = csv_rows(answer)
    assert (row["row"], row["column"], row["value"]) == ("2", "zone", "'=cmd()")
    assert row["problem"] == 'there is no zone "=cmd()" in the plan'


@pytest.mark.parametrize("name", TABLES)
def test_a_template_is_a_table_that_comes_in(lone_api: Api, name: str) -> None:
    """Hours of October are refused in February, and nothing else is wrong with an example."""
    for kind in ("csv", "xlsx"):
        template = lone_api.get(f"/imports/{name}/template.{kind}")
        assert f'filename="{name}.{kind}"' in template.headers["content-disposition"]
        found = read(send(lone_api, f"/{name}/look", template.content))
        names = [one.name for one in TABLES[name].columns]
        assert [one["match"] for one in found["columns"]] == names
        query = {"decimals": "point", "existing": "update"}
        trial = read(send(lone_api, f"/{name}/try", template.content, **query))
        if name == "hours":
            assert [one["column"] for one in trial["problems"]] == ["date"]
        else:
            assert trial["counts"]["added"] + trial["counts"]["changed"] == 1
            assert trial["problems"] == []


def test_files_that_are_none_are_refused_in_one_sentence(lone_api: Api) -> None:
    png = b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"
    assert_problem(send(lone_api, "/tasks/look", png), 422, "neither a workbook")
    assert_problem(send(lone_api, "/tasks/look", png, XLSX), 422, "neither a workbook")
    assert_problem(send(lone_api, "/tasks/look", b"\n"), 422, "is empty")
    assert_problem(send(lone_api, "/tasks/look", b""), 400, "no file")
    assert_problem(send(lone_api, "/tasks/look", b"a" * 20_000_001), 413, "20 MB")
    assert_problem(send(lone_api, "/tasks/look", b"id\n1", "text/plain"), 415, "text/plain")
    assert_problem(send(lone_api, "/tasks/look", b"id\n1", header=7), 422, "Row 7")
    assert_problem(send(lone_api, "/colours/look", b"id\n1"), 422, "colours")


def test_the_owner_tries_and_takes_nothing_in(lone_api: Api) -> None:
    lone_api.client.put("/api/v1/session", json={"role": "owner"})
    assert read(send(lone_api, "/findings/try", FOUND))["counts"]["added"] == 1
    assert_problem(send(lone_api, "/findings/apply", FOUND, plan_version=1), 403)


@given(
    st.binary(min_size=1, max_size=80)
    | st.text(st.sampled_from(LETTERS), min_size=1, max_size=80).map(str.encode),
    st.sampled_from(("/tasks/look", "/tasks/try", "/exchange-rates/try")),
    st.sampled_from(("", "id", "id,days", "id,,seen", "currency,date,rate")),
)  # fmt: skip
@settings(
    max_examples=60, deadline=None, derandomize=True, database=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)  # fmt: skip
def test_no_bytes_break_the_service(lone_api: Api, data: bytes, path: str, match: str) -> None:
    answer = send(lone_api, path, data, match=match)
    assert answer.status_code in {200, 422}, answer.text
