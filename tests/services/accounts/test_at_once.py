"""Several requests at the same instant: a link is used once, tries are counted one by one."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

from ribstitch.services.accounts.errors import (
    AccountError,
    AccountStandsError,
    LinkRefusedError,
    SignInRefusedError,
    TooManyTriesError,
)
from ribstitch.services.accounts.links import make_set_up_link
from ribstitch.services.accounts.people import change_account, everybody
from tests.support.accounts import KEEPER, OTHER, Hangar


def outcomes(acts: list[Callable[[], object]]) -> list[type[AccountError] | None]:
    """Do everything at once; return what each was refused with."""
    barrier = Barrier(len(acts))

    def act(one: Callable[[], object]) -> type[AccountError] | None:
        barrier.wait()
        try:
            one()
        except AccountError as refused:
            return type(refused)
        return None

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(act, acts))


def test_two_links_to_the_first_account_make_one(any_hangar: Hangar) -> None:
    links = [make_set_up_link(any_hangar.store, any_hangar.now) for _ in range(2)]
    tokens = [link.token for link in links if link is not None]
    found = outcomes([
        lambda: any_hangar.use(tokens[0], "One", "one@hangar.example"),
        lambda: any_hangar.use(tokens[0], "Two", "two@hangar.example"),
        lambda: any_hangar.use(tokens[1], "Three", "three@hangar.example"),
    ])  # fmt: skip
    assert sorted(map(str, found)) == sorted(map(str, [None, LinkRefusedError, LinkRefusedError]))
    assert len(everybody(any_hangar.store)) == 1


def test_two_keepers_do_not_leave_together(any_hangar: Hangar) -> None:
    one = any_hangar.set_up()
    two = any_hangar.join(one, "two@hangar.example", {}, as_keeper=True)
    found = outcomes([
        lambda: change_account(
            any_hangar.store, one, one.account_id, 2, any_hangar.now, is_keeper=False
        ),
        lambda: change_account(
            any_hangar.store, two, two.account_id, 2, any_hangar.now, is_closed=True
        ),
    ])  # fmt: skip
    assert sorted(map(str, found)) == sorted(map(str, [None, AccountStandsError]))


def test_many_guesses_at_once_are_counted_one_by_one(any_hangar: Hangar) -> None:
    any_hangar.set_up()
    found = outcomes([lambda: any_hangar.sign_in(KEEPER, OTHER)] * 9)
    assert found.count(SignInRefusedError) == 5
    assert found.count(TooManyTriesError) == 4
