"""Cookies, tokens, foreign hosts and foreign sites, where people sign in and where they do not."""

from __future__ import annotations

import logging
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from ribstitch.api.doorkeeper import Allowance
from ribstitch.services.accounts.api_tokens import make_token, revoke_token
from ribstitch.services.accounts.known import Scope
from ribstitch.services.accounts.people import change_account, remove_member
from tests.api.asking import assert_problem
from tests.support.signed_in import (
    ADDRESS,
    OTHER_PROJECT,
    PROJECT,
    SAME_SITE,
    House,
    running_house,
)

OPEN = "/api/v1/projects"
PLAN = f"/api/v1/projects/{PROJECT}"
TASK = f"{PLAN}/tasks/close"


def bearer(house: House, who: str, scope: Scope, project: int | None = None) -> dict[str, str]:
    """Return the header of a new token."""
    made = make_token(
        house.hangar.store, house.known[who], "Script", scope, project, 30, house.hangar.now
    )
    return {"Authorization": f"Bearer {made.token}"}


def scripted(house: House) -> TestClient:
    """Return a client that sends no cookie, and nothing that a browser says."""
    client = house.come_as("nobody")
    del client.headers["Sec-Fetch-Site"]
    return client


def test_project_without_a_part_in_it_is_as_if_it_were_not_there(house: House) -> None:
    client = house.come_as("stranger")
    there = client.get(PLAN).json()
    missing = client.get("/api/v1/projects/77").json()
    assert there["detail"] == "There is no project 1."
    assert missing["detail"] == "There is no project 77."
    assert [one["id"] for one in client.get(OPEN).json()["projects"]] == [OTHER_PROJECT]
    assert [one["id"] for one in house.come_as("keeper").get(OPEN).json()["projects"]] == [1, 2]


def test_change_stands_in_the_log_with_the_name_of_the_account(house: House) -> None:
    client = house.come_as("lead")
    done = client.patch(TASK, json={"notes": "x"}, headers={"If-Match": '"1"'})
    assert done.status_code == 200, done.text
    change = client.get(f"{PLAN}/changes").json()["changes"][0]
    assert (change["who"], change["role"]) == ("Lead", "lead")


def test_what_somebody_may_do_ends_at_once(house: House) -> None:
    client = house.come_as("lead")
    keeper, lead = house.known["keeper"], house.known["lead"]
    assert client.get(PLAN).status_code == 200
    remove_member(house.hangar.store, keeper, PROJECT, lead.account_id, 1, house.hangar.now)
    assert_problem(client.get(PLAN), 404, "no project")
    change_account(house.hangar.store, keeper, lead.account_id, 2, house.hangar.now, is_closed=True)
    assert_problem(client.get(PLAN), 401, "Sign in")


def test_forged_and_old_cookies_open_nothing(house: House) -> None:
    client = house.come_as("keeper")
    token = client.cookies["ribstitch_session"]
    for forged in ("x", token[:-1], f"{token}A", "a" * 5000, ""):
        client.cookies.clear()
        client.cookies.set("ribstitch_session", forged)
        assert_problem(client.get(PLAN), 401)
    client.cookies.clear()
    client.cookies.set("ribstitch_role", "planner")
    assert_problem(client.get(PLAN), 401)
    client.cookies.set("ribstitch_session", token)
    assert client.get(PLAN).status_code == 200
    house.clock.move(house.hangar.later(days=14) - house.clock.now_utc())
    assert_problem(client.get(PLAN), 401)


def test_cookie_changes_with_an_answer_and_no_script_reads_it(house: House) -> None:
    client = house.come_as("lead")
    first = client.get(PLAN)
    assert "set-cookie" not in first.headers
    house.clock.move(house.hangar.later(hours=12) - house.clock.now_utc())
    cookie = client.get(PLAN).headers["set-cookie"]
    assert cookie.startswith("ribstitch_session=")
    parts = {one.strip().lower() for one in cookie.split(";")[1:]}
    assert {"httponly", "samesite=lax", "path=/"} <= parts
    assert "secure" not in parts
    assert client.get(PLAN).status_code == 200


def test_over_tls_the_cookie_is_bound_to_host_and_tls(
    migrated_sqlite_url: str, tmp_path: Path
) -> None:
    public = "https://plan.hangar.example"
    with running_house(migrated_sqlite_url, tmp_path, public_url=public) as house:
        house.move_in()
        client = house.come_as("lead")
        assert "__Host-ribstitch" in client.cookies
        house.clock.move(house.hangar.later(hours=12) - house.clock.now_utc())
        answer = client.get(PLAN, headers={"Host": "plan.hangar.example"})
        cookie = answer.headers["set-cookie"]
        assert cookie.startswith("__Host-ribstitch=")
        assert "; Secure" in cookie
        assert "domain" not in cookie.lower()
        assert answer.headers["strict-transport-security"] == "max-age=31536000"
        del client.headers["Sec-Fetch-Site"]
        for origin, status in ((public, 200), ("http://plan.hangar.example", 403)):
            done = client.put(
                "/api/v1/session", json={"role": "lead"},
                headers={"Host": "plan.hangar.example", "Origin": origin},
            )  # fmt: skip
            assert (done.status_code == 403) == (status == 403), done.text


@pytest.mark.parametrize(
    ("headers", "is_taken"),
    [
        ({"Sec-Fetch-Site": "same-origin"}, True),
        ({"Sec-Fetch-Site": "none"}, True),
        ({"Sec-Fetch-Site": "same-site"}, False),
        ({"Sec-Fetch-Site": "cross-site"}, False),
        ({"Sec-Fetch-Site": "cross-site", "Origin": ADDRESS}, False),
        ({"Origin": ADDRESS}, True),
        ({"Origin": "http://127.0.0.1:9999"}, False),
        ({"Origin": "https://evil.example"}, False),
        ({"Origin": "null"}, False),
        ({}, False),
    ],
)
def test_cookie_alone_changes_nothing(
    house: House, headers: dict[str, str], *, is_taken: bool
) -> None:
    client = house.come_as("lead")
    del client.headers["Sec-Fetch-Site"]
    answer = client.patch(TASK, json={"notes": "x"}, headers={"If-Match": '"1"', **headers})
    if is_taken:
        assert answer.status_code == 200, answer.text
    else:
        problem = assert_problem(answer, 403, "another site")
        assert problem["type"].endswith("/cross-site")
    assert client.get(PLAN).status_code == 200


@pytest.mark.parametrize(
    ("host", "is_ours"),
    [
        ("127.0.0.1:8765", True),
        ("localhost", True),
        ("[::1]:8765", True),
        ("evil.example", False),
        ("127.0.0.1.evil.example", False),
        ("192.168.1.5", False),
        ("[::1", False),
        ("", False),
    ],
)
def test_foreign_name_that_leads_here_is_refused(
    lone_client: TestClient, host: str, *, is_ours: bool
) -> None:
    """Where it is open as well: such a page could else look at the demo, and change it."""
    answer = lone_client.get(OPEN, headers={"Host": host})
    if is_ours:
        assert answer.status_code == 200, answer.text
    else:
        assert_problem(answer, 421, "RIBSTITCH_PUBLIC_URL")
        assert "content-security-policy" in answer.headers


def test_page_of_another_site_changes_nothing_where_it_is_open(lone_client: TestClient) -> None:
    body = {"role": "owner"}
    for headers in ({"Sec-Fetch-Site": "cross-site"}, {"Origin": "https://evil.example"}):
        assert_problem(lone_client.put("/api/v1/session", json=body, headers=headers), 403)
    assert lone_client.put("/api/v1/session", json=body, headers=SAME_SITE).status_code == 200


def test_on_every_address_numbers_are_ours_and_foreign_names_are_not(
    migrated_sqlite_url: str, tmp_path: Path
) -> None:
    with running_house(migrated_sqlite_url, tmp_path, host="0.0.0.0") as house:  # noqa: S104
        health = "/api/v1/health"
        for host, status in (("192.168.1.5:8765", 200), ("evil.example", 421)):
            assert house.client.get(health, headers={"Host": host}).status_code == status
        assert_problem(house.client.get(OPEN), 401)
        told = house.client.get("/api/v1/session").json()
        assert (told["entry"], told["name"]) == ("sign-in", None)


def test_token_of_a_script_needs_no_more_than_its_header(house: House) -> None:
    write = bearer(house, "lead", "write")
    client = scripted(house)
    done = client.patch(TASK, json={"notes": "x"}, headers={"If-Match": '"1"', **write})
    assert done.status_code == 200, done.text
    assert client.get(PLAN, headers=write).status_code == 200
    assert_problem(client.get(f"/api/v1/projects/{OTHER_PROJECT}", headers=write), 404)


def test_token_does_what_its_scope_says(house: House) -> None:
    read = bearer(house, "planner", "read")
    one = bearer(house, "keeper", "write", OTHER_PROJECT)
    calendar = bearer(house, "owner", "calendar")
    client = scripted(house)
    assert client.get(PLAN, headers=read).status_code == 200
    if_match = {"If-Match": '"1"'}
    refused = client.patch(TASK, json={"notes": "x"}, headers={**read, **if_match})
    assert_problem(refused, 403, "reads")
    assert_problem(client.get(PLAN, headers=one), 404)
    assert [p["id"] for p in client.get(OPEN, headers=one).json()["projects"]] == [OTHER_PROJECT]
    assert_problem(client.post(OPEN, json={}, headers=one), 403, "keeper")
    assert_problem(client.get(PLAN, headers=calendar), 403, "calendar alone")
    assert client.get(f"{PLAN}/calendar.ics?role=owner", headers=calendar).status_code == 200


def test_token_in_an_address_opens_a_calendar_and_nothing_else(house: House) -> None:
    calendar = bearer(house, "owner", "calendar")["Authorization"].removeprefix("Bearer ")
    read = bearer(house, "owner", "read")["Authorization"].removeprefix("Bearer ")
    client = scripted(house)
    assert client.get(f"{PLAN}/calendar.ics?token={calendar}").status_code == 200
    assert_problem(client.get(f"{PLAN}/calendar.ics?token={read}"), 401)
    assert_problem(client.get(f"{PLAN}/calendar.ics?token={calendar}x"), 401)
    assert_problem(client.get(f"{PLAN}/title-block?token={calendar}"), 401)
    assert_problem(client.get(f"{PLAN}?token={read}"), 401)


def test_token_that_is_over_or_revoked_opens_nothing(house: House) -> None:
    store, lead = house.hangar.store, house.known["lead"]
    made = make_token(store, lead, "Script", "read", None, 30, house.hangar.now)
    header = {"Authorization": f"bearer {made.token}"}
    client = scripted(house)
    assert client.get(PLAN, headers=header).status_code == 200
    revoke_token(store, lead, made.row.id or 0, house.hangar.now)
    problem = assert_problem(client.get(PLAN, headers=header), 401, "token")
    assert made.token not in str(problem)


def test_no_token_and_no_password_is_logged(house: House, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.DEBUG)
    client = house.come_as("keeper")
    token = client.cookies["ribstitch_session"]
    client.get(PLAN)
    client.get(f"{PLAN}/calendar.ics?token=rib_secret")
    ours = [one for one in caplog.records if not one.name.startswith("httpx")]
    text = " ".join(one.getMessage() for one in ours)
    assert token not in text
    assert "rib_secret" not in text


def test_flood_of_changes_waits_and_reading_does_not(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Allowance, "seconds_to_wait", lambda *_: 7)
    client = house.come_as("lead")
    answer = client.put("/api/v1/session", json={"role": "lead"})
    assert_problem(answer, 429, "7 s")
    assert answer.headers["retry-after"] == "7"
    assert client.get(PLAN).status_code == 200


def test_allowance_comes_back_with_time_and_is_each_addresss_own() -> None:
    """By hand: 60 a minute is one a second."""
    allowance = Allowance(60)
    assert [allowance.seconds_to_wait("a", 0.0) for _ in range(61)] == [0] * 60 + [1]
    assert allowance.seconds_to_wait("b", 0.0) == 0
    assert allowance.seconds_to_wait("a", 2.0) == 0
    assert allowance.seconds_to_wait("a", 2.0) == 0
    assert allowance.seconds_to_wait("a", 2.0) == 1


def test_a_request_with_a_key_says_how_to_sign_in_as_well(house: House) -> None:
    """RFC 9110, section 15.5.2: a 401 names how one shows who one is."""
    headers = {"Idempotency-Key": "long-enough-1"}
    answer = scripted(house).patch(TASK, json={"days": 4}, headers=headers)
    assert_problem(answer, 401, "Sign in first")
    assert answer.headers["www-authenticate"] == "Bearer"
