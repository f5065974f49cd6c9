"""Accounts through the API, as browsers and scripts use them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pyotp
import pytest
from starlette.testclient import TestClient

from tests.api.asking import assert_problem
from tests.support.accounts import KEEPER, OTHER, PASSWORD
from tests.support.signed_in import OTHER_PROJECT, PROJECT, House, running_house

API = "/api/v1"
PEOPLE = f"{API}/projects/{PROJECT}/people"


@pytest.fixture
def empty(migrated_sqlite_url: str, tmp_path: Path) -> Iterator[House]:
    """The service with nobody in it yet."""
    with running_house(migrated_sqlite_url, tmp_path) as house:
        yield house


def post(client: TestClient, path: str, body: Any) -> dict[str, Any]:
    answer = client.post(f"{API}{path}", json=body)
    assert answer.status_code in {200, 201}, answer.text
    content: dict[str, Any] = answer.json()
    return content


def token_of(link: dict[str, Any]) -> str:
    path, _, token = link["path"].partition("#")
    assert path == "/join"
    return str(token)


def test_open_service_closes_with_its_first_account(empty: House) -> None:
    from ribstitch.services.accounts.links import make_set_up_link

    client = empty.client
    assert client.get(f"{API}/session").json()["entry"] == "open"
    assert client.get(f"{API}/projects").status_code == 200
    assert_problem(client.get(f"{API}/people"), 409, "Nobody has an account")
    assert_problem(client.get(f"{API}/account"), 409, "Nobody has an account")
    link = make_set_up_link(empty.hangar.store, empty.hangar.now)
    assert link is not None
    told = post(client, "/one-time-links/look", {"token": link.token})
    assert (told["purpose"], told["email"]) == ("set-up", "")
    body = {"token": link.token, "name": "Keeper", "email": KEEPER, "password": PASSWORD}
    assert post(client, "/one-time-links/use", body) == {"second_factor": False}
    session = client.get(f"{API}/session").json()
    assert (session["entry"], session["name"], session["is_keeper"]) == ("sign-in", "Keeper", True)
    assert session["account"] == 1
    client.cookies.clear()
    assert_problem(client.get(f"{API}/projects"), 401)
    assert_problem(client.post(f"{API}/one-time-links/use", json=body), 404, "This link")
    assert_problem(client.put(f"{API}/session", json={"role": "planner"}), 409, "sign in here")


def test_invited_into_a_project_and_taken_out_again(house: House) -> None:
    planner = house.come_as("planner")
    asked = {"email": "paint@hangar.example", "name": "Painter", "role": "viewer"}
    invited = post(planner, f"/projects/{PROJECT}/people", asked)
    listed = planner.get(PEOPLE).json()["people"]
    assert [(one["name"], one["role"], one["has_come"]) for one in listed][-1] == (
        "Painter", "viewer", False,
    )  # fmt: skip
    planner.cookies.clear()
    body = {"token": token_of(invited["link"]), "name": "Painter 1", "password": PASSWORD}
    post(planner, "/one-time-links/use", body)
    painter = planner
    assert painter.get(f"{API}/session").json()["roles"] == {str(PROJECT): "viewer"}
    assert_problem(painter.get(PEOPLE), 403, "planner")
    planner = house.come_as("planner")
    one = f"{PEOPLE}/{invited['account']}"
    done = planner.patch(one, json={"role": "lead"}, headers={"If-Match": '"1"'})
    assert (done.json()["role"], done.headers["etag"]) == ("lead", '"2"')
    assert_problem(planner.delete(one, headers={"If-Match": '"1"'}), 412)
    assert_problem(planner.patch(one, json={"role": "lead"}), 428)
    assert planner.delete(one, headers={"If-Match": '"2"'}).status_code == 204
    assert_problem(planner.delete(one, headers={"If-Match": '"2"'}), 404)


def test_keeper_invites_anybody_and_closes_accounts(house: House) -> None:
    keeper = house.come_as("keeper")
    parts = [{"project": PROJECT, "role": "lead"}, {"project": OTHER_PROJECT, "role": "owner"}]
    invited = post(
        keeper, "/people", {"email": "new@hangar.example", "parts": parts, "keeper": True}
    )
    line = keeper.get(f"{API}/people").json()["people"][-1]
    assert line["keeper"]
    assert [(one["project"], one["role"]) for one in line["parts"]] == [(1, "lead"), (2, "owner")]
    one = f"{API}/people/{invited['account']}"
    header = {"If-Match": f'"{line["version"]}"'}
    closed = keeper.patch(one, json={"closed": True}, headers=header)
    assert closed.json()["closed"]
    look = keeper.post(f"{API}/one-time-links/look", json={"token": token_of(invited["link"])})
    assert_problem(look, 404)
    me = house.known["keeper"].account_id
    refused = keeper.patch(
        f"{API}/people/{me}", json={"keeper": False}, headers={"If-Match": '"2"'}
    )
    assert_problem(refused, 409, "Keeper is the last keeper")
    missing = {"email": "x@hangar.example", "parts": [{"project": 77, "role": "lead"}]}
    assert_problem(keeper.post(f"{API}/people", json=missing), 404, "no project 77")
    assert len(keeper.get(f"{API}/people").json()["people"]) == 7


def test_sign_in_and_out(house: House) -> None:
    client = house.come_as("nobody")
    wrong = {"email": "lead@hangar.example", "password": OTHER}
    problem = assert_problem(client.post(f"{API}/sign-in", json=wrong), 401, "do not fit")
    assert OTHER not in str(problem)
    post(client, "/sign-in", {"email": "lead@hangar.example", "password": PASSWORD})
    assert client.get(f"{API}/account").json()["name"] == "Lead"
    devices = client.get(f"{API}/account/sessions").json()["sessions"]
    assert [one["this"] for one in devices] == [True, False]
    assert devices[0]["device"] == "computer at testclient"
    other = f"{API}/account/sessions/{devices[1]['id']}"
    assert client.delete(other).status_code == 204
    assert_problem(client.delete(other), 404)
    out = client.post(f"{API}/sign-out", json={})
    assert out.status_code == 204
    assert "max-age=0" in out.headers["set-cookie"].lower()
    assert_problem(client.get(f"{API}/account"), 401)
    assert client.get(f"{API}/session").json()["name"] is None


def test_guessing_is_told_how_long_to_wait(house: House) -> None:
    client = house.come_as("nobody")
    wrong = {"email": KEEPER, "password": OTHER}
    codes = [client.post(f"{API}/sign-in", json=wrong).status_code for _ in range(6)]
    assert codes == [401] * 5 + [429]
    last = client.post(f"{API}/sign-in", json={"email": KEEPER, "password": PASSWORD})
    assert_problem(last, 429, "15 minutes")
    assert last.headers["retry-after"] == "900"


def test_second_factor_from_the_first_picture_to_the_sign_in(house: House) -> None:
    client = house.come_as("lead")
    refused = client.post(f"{API}/account/second-factor", json={"password": OTHER})
    assert_problem(refused, 422, "password: is not your password")
    shown = post(client, "/account/second-factor", {"password": PASSWORD})
    assert shown["picture"].startswith("data:image/svg+xml")
    app = pyotp.parse_uri(shown["address"])
    assert isinstance(app, pyotp.TOTP)
    code = {"code": app.at(house.clock.now_utc())}
    codes = client.put(f"{API}/account/second-factor", json=code).json()["recovery_codes"]
    assert client.get(f"{API}/account").json()["recovery_codes_left"] == len(codes) == 10
    client.cookies.clear()
    entered = post(client, "/sign-in", {"email": "lead@hangar.example", "password": PASSWORD})
    assert entered == {"second_factor": True}
    assert_problem(client.get(f"{API}/account"), 401)
    assert_problem(client.post(f"{API}/sign-in/second-factor", json=code), 401, "does not fit")
    post(client, "/sign-in/second-factor", {"code": codes[0]})
    assert client.get(f"{API}/account").json()["recovery_codes_left"] == 9
    assert client.post(
        f"{API}/account/second-factor/drop", json={"password": PASSWORD}
    ).status_code == 204  # fmt: skip
    assert not client.get(f"{API}/account").json()["second_factor"]


def test_own_name_and_password(house: House) -> None:
    client = house.come_as("lead")
    renamed = client.patch(
        f"{API}/account", json={"name": "Shop lead 1"}, headers={"If-Match": '"2"'}
    )
    assert renamed.json()["name"] == "Shop lead 1"
    stale = client.patch(f"{API}/account", json={"name": "x"}, headers={"If-Match": '"2"'})
    assert_problem(stale, 412)
    before = client.cookies["ribstitch_session"]
    weak = {"old_password": PASSWORD, "new_password": "lead@hangar.example"}
    assert_problem(client.post(f"{API}/account/password", json=weak), 422, "too easy to guess")
    new = {"old_password": PASSWORD, "new_password": OTHER}
    assert client.post(f"{API}/account/password", json=new).status_code == 204
    assert client.cookies["ribstitch_session"] != before
    assert client.get(f"{API}/account").status_code == 200
    assert not house.hangar.is_open(before)


def test_tokens_are_told_once_and_open_no_accounts(house: House) -> None:
    client = house.come_as("lead")
    made = post(client, "/account/tokens", {"name": "Weekly", "scope": "write", "days": 30})
    listed = client.get(f"{API}/account/tokens")
    assert made["token"] not in listed.text
    assert [one["name"] for one in listed.json()["tokens"]] == ["Weekly"]
    long = client.post(f"{API}/account/tokens", json={"name": "x", "scope": "read", "days": 367})
    assert_problem(long, 422, "days: 367")
    foreign = {"name": "x", "scope": "read", "project": OTHER_PROJECT}
    assert_problem(client.post(f"{API}/account/tokens", json=foreign), 404, "no project 2")
    client.cookies.clear()
    header = {"Authorization": f"Bearer {made['token']}"}
    assert client.get(f"{API}/projects/{PROJECT}", headers=header).status_code == 200
    assert_problem(client.get(f"{API}/account", headers=header), 403, "sign in for that")
    client = house.come_as("lead")
    one = f"{API}/account/tokens/{made['line']['id']}"
    assert client.delete(one).status_code == 204
    client.cookies.clear()
    assert_problem(client.get(f"{API}/projects/{PROJECT}", headers=header), 401)


def test_lost_password_is_replaced_by_a_link_that_somebody_hands_over(house: House) -> None:
    lead = house.known["lead"].account_id
    assert_problem(
        house.come_as("lead").post(f"{API}/new-password-links", json={"account": lead}), 404
    )
    keeper_id = house.known["keeper"].account_id
    planner = house.come_as("planner")
    refused = planner.post(f"{API}/new-password-links", json={"account": keeper_id})
    assert_problem(refused, 404)
    link = post(planner, "/new-password-links", {"account": lead})
    planner.cookies.clear()
    post(planner, "/one-time-links/use", {"token": token_of(link), "password": OTHER})
    assert planner.get(f"{API}/account").json()["id"] == lead


def test_account_log_is_read_by_keepers_page_by_page(house: House) -> None:
    client = house.come_as("keeper")
    page = client.get(f"{API}/account-log?limit=2").json()
    assert [one["action"] for one in page["lines"]] == ["sign-in", "invitation"]
    older = client.get(f"{API}/account-log?limit=2&before={page['next_before']}").json()
    assert older["lines"][0]["number"] < page["lines"][-1]["number"]


def test_what_has_a_key_is_done_once_for_each_account(house: House) -> None:
    key = {"Idempotency-Key": "one-and-the-same", "If-Match": '"1"'}
    task = f"{API}/projects/{PROJECT}/tasks/close"
    assert_problem(house.come_as("nobody").patch(task, json={"notes": "x"}, headers=key), 401)
    first = house.come_as("lead").patch(task, json={"notes": "x"}, headers=key)
    again = house.come_as("lead").patch(task, json={"notes": "x"}, headers=key)
    assert first.status_code == again.status_code == 200
    assert first.content == again.content
    other = house.come_as("planner").patch(task, json={"notes": "x"}, headers=key)
    assert_problem(other, 412)
