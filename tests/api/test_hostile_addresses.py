"""Addresses that try to be a query of the database or a place in the folders of the machine."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from tests.api import pictures
from tests.api.asking import Api, assert_problem, small_plan

SIGNS = (
    "' OR '1'='1",
    "x'; DROP TABLE task; --",
    '" OR ""="',
    "T%",
    "_2",
    "1 OR 1=1",
    "x') UNION SELECT sql, 1 FROM sqlite_master --",
    "/**/",
    "\\",
    "x" * 10_000,
)
"""What a query that is put together from pieces takes for a part of itself."""
SIGNS_IN_PATHS = ("' OR '1'='1", "T%25", "1;DROP TABLE task--", "\\", "x" * 10_000)
PLACES = (
    "../../../etc/passwd",
    "..%2f..%2fetc%2fpasswd",
    "/etc/passwd",
    "..\\..\\windows\\win.ini",
    "C:\\x",
    "\u2024\u2024/\u2024\u2024/x",
    "\uff0e\uff0e\uff0fx",
    "....//x",
    "x/.",
    "%c0%ae%c0%ae%c0%afx",
    "file:///etc/passwd",
    "~root",
)
"""What leads somewhere else where a name is joined to a folder."""


@pytest.fixture(scope="module")
def shop(shared_client: TestClient) -> Api:
    """One project for a module, with a photo."""
    api = Api(shared_client, small_plan())
    answer = api.client.post(
        f"{api.root}/evidence", content=pictures.picture(), headers={"Content-Type": "image/jpeg"}
    )
    assert answer.status_code == 201
    return api


def described(api: Api) -> Iterator[tuple[str, str, list[dict[str, Any]]]]:
    """Yield what the service answers without an end: method, path in a project, parameters."""
    paths = api.client.get("/api/v1/openapi.json").json()["paths"]
    for path, operations in paths.items():
        _, _, within = path.partition("/projects/{project_id}")
        for method, operation in operations.items():
            if within and within != "/events":
                yield method.upper(), within, operation.get("parameters", [])


def rows(answer: Response) -> int:
    """Return how many lines the lists of an answer have together."""
    content = answer.json()
    return sum(len(one) for one in content.values() if isinstance(one, list))


def test_no_question_is_taken_for_a_part_of_a_query(shop: Api) -> None:
    """It finds no more than the question without it; where that is refused, so is this."""
    asked, wrong = 0, []
    for method, path, parameters in described(shop):
        names = [one["name"] for one in parameters if one["in"] == "query"]
        if method != "GET" or "{" in path or not names:
            continue
        without = shop.get(path)
        most = rows(without) if without.status_code == 200 and "json" in _type(without) else 0
        for name in names:
            for sign in SIGNS:
                answer = shop.get(path, params={name: sign})
                asked += 1
                found = rows(answer) if answer.status_code == 200 and most else 0
                refused_before = without.status_code >= 400 and answer.status_code < 400
                if answer.status_code >= 500 or found > most or refused_before:
                    wrong.append((path, name, sign[:40], answer.status_code, found))
    assert wrong == []
    assert asked > 300
    assert shop.plan_version == 2


def test_no_name_in_an_address_is_taken_for_a_part_of_a_query_or_a_place(shop: Api) -> None:
    """Whatever is asked of such a thing: it is not there, and nothing is stored."""
    asked, wrong = 0, []
    for method, path, parameters in described(shop):
        names = [one["name"] for one in parameters if one["in"] == "path"]
        for name in (one for one in names if one != "project_id"):
            for value in (*SIGNS_IN_PATHS, *PLACES[:6]):
                given = path
                for other in names:
                    filled = quote(value, safe="") if other == name else "T2"
                    given = given.replace(f"{{{other}}}", filled)
                answer = shop.client.request(
                    method,
                    f"{shop.root}{given}",
                    content=b"{}",
                    headers={"Content-Type": "application/json", "If-Match": '"1"'},
                )
                asked += 1
                if not 400 <= answer.status_code < 500:
                    wrong.append((method, path, value[:40], answer.status_code))
    assert wrong == []
    assert asked > 800
    assert shop.plan_version == 2
    assert shop.read("/tasks/T2")["task"]["name"] == "Strip the fin"


@pytest.mark.parametrize("sign", ["%", "_", "*", "\\", "'", '"', "[a-z]", "fin' --"])
def test_what_is_looked_for_is_looked_for_as_it_is(shop: Api, sign: str) -> None:
    """No task is called so; and no sign stands for any other."""
    assert shop.get("/tasks", params={"q": "fin"}).json()["tasks"] != []
    assert shop.get("/tasks", params={"q": sign}).json()["tasks"] == []


def test_change_log_takes_what_is_asked_and_told_as_it_is_on_either_database(api: Api) -> None:
    told = "".join(sign for sign in SIGNS if len(sign) < 100)
    answer = api.client.patch(
        f"{api.root}/tasks/T2",
        params={"reason": told},
        json={"notes": told},
        headers={"If-Match": '"1"'},
    )
    assert answer.status_code == 200, answer.text
    assert api.read("/changes")["changes"][0]["reason"] == told
    assert api.read("/tasks/T2")["task"]["notes"] == told
    assert len(api.read("/changes?kind=task&key=T2")["changes"]) == 1
    for name in ("kind", "key"):
        for sign in SIGNS:
            answer = api.get("/changes", params={name: sign})
            assert answer.status_code == 422 or answer.json()["changes"] == []


# --- Places ------------------------------------------------------------------------------


@pytest.mark.parametrize("place", [*PLACES, "../pyproject.toml", "css/../../pyproject.toml", "\0"])
def test_no_address_leads_out_of_the_folder_of_the_pages(shop: Api, place: str) -> None:
    for address in (f"/assets/{quote(place, safe='')}", f"/assets/css/{quote(place, safe='')}"):
        problem = assert_problem(shop.client.get(address), 404)
        assert "root:" not in str(problem)


@pytest.mark.parametrize("place", PLACES)
def test_no_digest_in_an_address_leads_to_another_file(shop: Api, place: str) -> None:
    """It says whether an answer can be kept, and never which file is meant."""
    for what in ("file", "thumbnail"):
        asked = shop.get(f"/evidence/E1/{what}", params={"digest": place})
        assert asked.status_code == 200
        assert asked.content == shop.get(f"/evidence/E1/{what}").content
        assert asked.headers["cache-control"] == "private, no-cache"


def test_no_name_of_a_file_leads_out_of_a_folder(lone_api: Api, tmp_path: Path) -> None:
    """Neither here nor where it is saved: what is proposed there is one name, and a picture's."""
    before = {one for one in tmp_path.rglob("*") if one.is_file()}
    for place in PLACES:
        answer = lone_api.client.post(
            f"{lone_api.root}/evidence",
            params={"name": place},
            content=pictures.picture(),
            headers={"Content-Type": "image/jpeg"},
        )
        assert answer.status_code == 201, answer.text
        told = lone_api.get(f"/evidence/{answer.json()['key']}/file")
        _, plain, full = told.headers["content-disposition"].split("; ")
        for name in (plain.removeprefix('filename="').rstrip('"'), full.partition("''")[2]):
            assert name.endswith(".jpg")
            assert not {"/", "\\"} & set(name)
    made = {one for one in tmp_path.rglob("*") if one.is_file()} - before
    assert {one.relative_to(tmp_path).parts[0] for one in made} == {"files"}


def _type(answer: Response) -> str:
    return str(answer.headers["content-type"])
