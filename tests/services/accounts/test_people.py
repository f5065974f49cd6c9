"""One-time links, invitations, roles, closing, tokens."""

from __future__ import annotations

import pytest

from ribstitch.services.accounts.api_tokens import (
    make_token,
    recognise_token,
    revoke_token,
    tokens_of,
)
from ribstitch.services.accounts.errors import (
    AccountError,
    AccountStandsError,
    LinkRefusedError,
    NoAccountError,
)
from ribstitch.services.accounts.known import Scope
from ribstitch.services.accounts.links import (
    hand_new_password_link,
    look_at_link,
    make_new_password_link,
    make_set_up_link,
)
from ribstitch.services.accounts.people import (
    change_account,
    change_role,
    everybody,
    invite,
    members,
    remove_member,
)
from ribstitch.store import StaleEditError, UnknownProjectError
from tests.support.accounts import KEEPER, OTHER, PASSWORD, Hangar

LEAD = "lead@hangar.example"


def test_the_first_account_keeps_the_server_and_there_is_one_first(any_hangar: Hangar) -> None:
    one = make_set_up_link(any_hangar.store, any_hangar.now)
    lost = make_set_up_link(any_hangar.store, any_hangar.now)
    assert one is not None
    assert lost is not None
    keeper = any_hangar.known(any_hangar.use(one.token, "Keeper", KEEPER))
    assert keeper.is_keeper
    assert keeper.role_in(1) == "planner"
    assert make_set_up_link(any_hangar.store, any_hangar.now) is None
    for token in (one.token, lost.token):
        with pytest.raises(LinkRefusedError):
            any_hangar.use(token, "Thief", "thief@hangar.example")


def test_what_is_refused_leaves_the_link_as_it_was(hangar: Hangar) -> None:
    link = make_set_up_link(hangar.store, hangar.now)
    assert link is not None
    for name, email, password, part in (
        ("", KEEPER, PASSWORD, "name"),
        ("Kee\nper", KEEPER, PASSWORD, "name"),
        ("Keeper", "keeper", PASSWORD, '"keeper" is no email'),
        ("Keeper", KEEPER, "short", "5 signs"),
    ):
        with pytest.raises(AccountError, match=part):
            hangar.use(link.token, name, email, password)
    assert everybody(hangar.store) == []
    assert hangar.known(hangar.use(link.token, "Keeper", KEEPER)).is_keeper


def test_links_end_by_themselves(hangar: Hangar) -> None:
    link = make_set_up_link(hangar.store, hangar.now)
    assert link is not None
    assert look_at_link(hangar.store, link.token, hangar.now).purpose == "set-up"
    hangar.later(days=1)
    with pytest.raises(LinkRefusedError):
        look_at_link(hangar.store, link.token, hangar.now)
    keeper = hangar.set_up()
    invited = invite(hangar.store, keeper, LEAD, "Lead", {1: "lead"}, hangar.now)
    assert invited.link is not None
    told = look_at_link(hangar.store, invited.link.token, hangar.now)
    assert (told.purpose, told.name, told.email) == ("invitation", "Lead", LEAD)
    hangar.later(days=7)
    with pytest.raises(LinkRefusedError):
        hangar.use(invited.link.token, "Lead")


def test_a_further_invitation_ends_the_one_before(any_hangar: Hangar) -> None:
    keeper = any_hangar.set_up()
    first = invite(any_hangar.store, keeper, LEAD, "Lead", {1: "lead"}, any_hangar.now)
    again = invite(any_hangar.store, keeper, LEAD.upper(), "", {2: "viewer"}, any_hangar.now)
    assert first.account_id == again.account_id
    assert first.link is not None
    assert again.link is not None
    with pytest.raises(LinkRefusedError):
        any_hangar.use(first.link.token, "Lead")
    lead = any_hangar.known(any_hangar.use(again.link.token, "Lead"))
    assert lead.roles == {1: "lead", 2: "viewer"}
    with pytest.raises(LinkRefusedError):
        any_hangar.use(again.link.token, "Lead")


def test_who_has_a_password_joins_without_a_link(hangar: Hangar) -> None:
    keeper = hangar.set_up()
    lead = hangar.join(keeper, LEAD, {1: "lead"})
    assert invite(hangar.store, keeper, LEAD, "", {2: "owner"}, hangar.now).link is None
    assert hangar.known(hangar.sign_in(LEAD)).roles == {1: "lead", 2: "owner"}
    with pytest.raises(UnknownProjectError):
        invite(hangar.store, keeper, "x@hangar.example", "X", {77: "lead"}, hangar.now)
    assert [one.account.email for one in everybody(hangar.store)] == [KEEPER, LEAD]
    assert [(one.name, at.role) for one, at in members(hangar.store, 1)] == [("Lead", "lead")]
    assert lead.role_in(77) is None


def test_role_changes_at_once_and_not_over_somebody_elses_change(any_hangar: Hangar) -> None:
    keeper = any_hangar.set_up()
    number = any_hangar.join(keeper, LEAD, {1: "lead"}).account_id
    row = change_role(any_hangar.store, keeper, 1, number, "viewer", 1, any_hangar.now)
    assert (row.role, row.version) == ("viewer", 2)
    with pytest.raises(StaleEditError):
        change_role(any_hangar.store, keeper, 1, number, "owner", 1, any_hangar.now)
    with pytest.raises(NoAccountError):
        change_role(any_hangar.store, keeper, 2, number, "owner", 1, any_hangar.now)
    with pytest.raises(StaleEditError):
        remove_member(any_hangar.store, keeper, 1, number, 1, any_hangar.now)
    remove_member(any_hangar.store, keeper, 1, number, 2, any_hangar.now)
    assert any_hangar.known(any_hangar.sign_in(LEAD)).role_in(1) is None


def test_the_last_keeper_stays(any_hangar: Hangar) -> None:
    keeper = any_hangar.set_up()
    invite(
        any_hangar.store, keeper, "late@hangar.example", "Late", {}, any_hangar.now, as_keeper=True
    )
    for closed, kept in ((True, None), (None, False)):
        with pytest.raises(AccountStandsError, match="Keeper is the last keeper"):
            change_account(
                any_hangar.store, keeper, keeper.account_id, 2, any_hangar.now,
                is_closed=closed, is_keeper=kept,
            )  # fmt: skip
    other = any_hangar.join(keeper, "other@hangar.example", {}, as_keeper=True)
    change_account(any_hangar.store, other, keeper.account_id, 2, any_hangar.now, is_keeper=False)
    assert any_hangar.known(any_hangar.sign_in(KEEPER)).role_in(1) is None
    with pytest.raises(AccountStandsError, match="Other is the last keeper"):
        change_account(any_hangar.store, other, other.account_id, 2, any_hangar.now, is_closed=True)


def test_closing_an_account_ends_its_sessions_links_and_tokens(any_hangar: Hangar) -> None:
    keeper = any_hangar.set_up()
    lead = any_hangar.join(keeper, LEAD, {1: "lead"})
    opened = any_hangar.sign_in(LEAD)
    token = make_token(any_hangar.store, lead, "Weekly", "read", None, 30, any_hangar.now).token
    link = make_new_password_link(any_hangar.store, LEAD, any_hangar.now)
    change_account(any_hangar.store, keeper, lead.account_id, 2, any_hangar.now, is_closed=True)
    assert not any_hangar.is_open(opened.token)
    assert recognise_token(any_hangar.store, token, any_hangar.now) is None
    with pytest.raises(LinkRefusedError):
        any_hangar.use(link.token, password=OTHER)
    with pytest.raises(NoAccountError):
        make_new_password_link(any_hangar.store, LEAD, any_hangar.now)
    with pytest.raises(AccountStandsError, match="closed"):
        invite(any_hangar.store, keeper, LEAD, "", {}, any_hangar.now)
    change_account(any_hangar.store, keeper, lead.account_id, 3, any_hangar.now, is_closed=False)
    assert any_hangar.is_open(any_hangar.sign_in(LEAD).token)


def test_new_password_by_link_ends_all_sessions(hangar: Hangar) -> None:
    hangar.set_up()
    before = hangar.sign_in(KEEPER)
    link = make_new_password_link(hangar.store, KEEPER, hangar.now)
    opened = hangar.use(link.token, password=OTHER)
    assert not hangar.is_open(before.token)
    assert hangar.is_open(opened.token)
    assert hangar.is_open(hangar.sign_in(KEEPER, OTHER).token)
    with pytest.raises(LinkRefusedError):
        hangar.use(link.token)


def test_planner_hands_links_to_nobody_who_has_more_than_they_plan(hangar: Hangar) -> None:
    keeper = hangar.set_up()
    planner = hangar.join(keeper, "planner@hangar.example", {1: "planner"})
    lead = hangar.join(keeper, LEAD, {1: "lead"})
    both = hangar.join(keeper, "both@hangar.example", {1: "lead", 2: "viewer"})
    other = hangar.join(keeper, "other@hangar.example", {2: "lead"})
    master = hangar.join(keeper, "master@hangar.example", {1: "lead"}, as_keeper=True)
    link = hand_new_password_link(hangar.store, planner, lead.account_id, hangar.now)
    assert hangar.is_open(hangar.use(link.token, password=OTHER).token)
    for account_id in (both.account_id, master.account_id):
        with pytest.raises(AccountStandsError, match="a keeper hands out"):
            hand_new_password_link(hangar.store, planner, account_id, hangar.now)
    for by, account_id in ((planner, other.account_id), (planner, 99), (lead, lead.account_id)):
        with pytest.raises(NoAccountError):
            hand_new_password_link(hangar.store, by, account_id, hangar.now)
    link = hand_new_password_link(hangar.store, keeper, master.account_id, hangar.now)
    assert hangar.is_open(hangar.use(link.token, password=OTHER).token)


@pytest.mark.parametrize("scope", ["read", "write", "calendar"])
def test_token_opens_what_it_is_for_until_it_ends(hangar: Hangar, scope: Scope) -> None:
    keeper = hangar.set_up()
    lead = hangar.join(keeper, LEAD, {1: "lead", 2: "owner"})
    made = make_token(hangar.store, lead, "Weekly", scope, 1, 30, hangar.now)
    assert made.token.startswith("rib_")
    known = recognise_token(hangar.store, made.token, hangar.now)
    assert known is not None
    assert (known.scope, known.role_in(1), known.role_in(2)) == (scope, "lead", None)
    assert tokens_of(hangar.store, lead)[0].last_used_at == hangar.now
    for forged in (made.token[:-1], made.token.removeprefix("rib_"), ""):
        assert recognise_token(hangar.store, forged, hangar.now) is None
    hangar.later(days=30)
    assert recognise_token(hangar.store, made.token, hangar.now) is None


def test_token_is_revoked_by_whose_it_is(any_hangar: Hangar) -> None:
    keeper = any_hangar.set_up()
    lead = any_hangar.join(keeper, LEAD, {1: "lead"})
    made = make_token(any_hangar.store, lead, "Weekly", "read", None, 366, any_hangar.now)
    with pytest.raises(NoAccountError):
        revoke_token(any_hangar.store, keeper, made.row.id or 0, any_hangar.now)
    revoke_token(any_hangar.store, lead, made.row.id or 0, any_hangar.now)
    assert recognise_token(any_hangar.store, made.token, any_hangar.now) is None


def test_token_is_refused_for_longer_than_a_year_and_for_other_projects(hangar: Hangar) -> None:
    keeper = hangar.set_up()
    lead = hangar.join(keeper, LEAD, {1: "lead"})
    for days in (0, 367):
        with pytest.raises(AccountError, match="days"):
            make_token(hangar.store, lead, "Weekly", "read", None, days, hangar.now)
    for by, project in ((lead, 2), (keeper, 77)):
        with pytest.raises(UnknownProjectError):
            make_token(hangar.store, by, "Weekly", "read", project, 1, hangar.now)
