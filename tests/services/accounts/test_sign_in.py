"""Signing in, sessions, the second factor, and how often one may guess."""

from __future__ import annotations

from datetime import timedelta

import pyotp
import pytest

from ribstitch.services.accounts.errors import (
    AccountError,
    NoAccountError,
    SignInRefusedError,
    TooManyTriesError,
)
from ribstitch.services.accounts.links import make_new_password_link
from ribstitch.services.accounts.own import (
    change_password,
    confirm_second_factor,
    drop_second_factor,
    offer_second_factor,
    own_account,
)
from ribstitch.services.accounts.people import change_account, log_lines
from ribstitch.services.accounts.random_tokens import hash_of
from ribstitch.services.accounts.sessions import (
    end_session,
    recognise,
    sessions_of,
    sign_out,
)
from ribstitch.services.accounts.sign_in import pass_second_factor
from ribstitch.services.accounts.throttle import seconds_to_wait
from tests.support.accounts import CHEAP, HERE, KEEPER, OTHER, PASSWORD, START, Hangar


def refusal(hangar: Hangar, email: str, password: str) -> str:
    with pytest.raises(SignInRefusedError) as refused:
        hangar.sign_in(email, password)
    return str(refused.value)


def test_unknown_email_wrong_password_and_closed_account_get_one_answer(hangar: Hangar) -> None:
    keeper = hangar.set_up()
    lead = hangar.join(keeper, "lead@hangar.example", {1: "lead"})
    change_account(hangar.store, keeper, lead.account_id, 2, hangar.now, is_closed=True)
    said = {
        refusal(hangar, "nobody@hangar.example", PASSWORD),
        refusal(hangar, KEEPER, OTHER),
        refusal(hangar, "lead@hangar.example", PASSWORD),
    }
    assert said == {"Email and password do not fit together."}


def test_capitals_and_spaces_around_an_email_do_not_matter(hangar: Hangar) -> None:
    hangar.set_up()
    assert hangar.is_open(hangar.sign_in(f" {KEEPER.upper()} ").token)


def test_no_token_and_no_password_stand_in_the_database(hangar: Hangar) -> None:
    hangar.set_up()
    token = hangar.sign_in(KEEPER).token
    with hangar.store.reading() as look:
        kept = str(look._connection.exec_driver_sql("SELECT * FROM browser_session").all())
        kept += str(look._connection.exec_driver_sql("SELECT * FROM account").all())
    assert token not in kept
    assert PASSWORD not in kept
    assert hash_of(token) in kept
    assert "$argon2id$" in kept


def test_session_ends_after_a_fortnight_unused_and_after_ninety_days(hangar: Hangar) -> None:
    hangar.set_up()
    unused = hangar.sign_in(KEEPER).token
    hangar.later(days=13, hours=23)
    assert hangar.is_open(unused)
    hangar.later(days=14)
    assert not hangar.is_open(unused)
    token: str | None = hangar.sign_in(KEEPER).token
    for days in (13, 13, 13, 13, 13, 13, 11):
        hangar.later(days=days)
        found = recognise(hangar.store, token or "", hangar.now)
        assert found is not None
        token = found.new_token
    hangar.later(days=1)
    assert not hangar.is_open(token or "")


def test_token_changes_twice_a_day_and_the_old_one_lasts_a_minute(any_hangar: Hangar) -> None:
    any_hangar.set_up()
    old = any_hangar.sign_in(KEEPER).token
    any_hangar.later(hours=11, minutes=59)
    found = recognise(any_hangar.store, old, any_hangar.now)
    assert found is not None
    assert found.new_token is None
    any_hangar.later(minutes=1)
    found = recognise(any_hangar.store, old, any_hangar.now)
    assert found is not None
    assert found.new_token is not None
    any_hangar.later(seconds=59)
    under_way = recognise(any_hangar.store, old, any_hangar.now)
    assert under_way is not None
    assert under_way.new_token is None
    any_hangar.later(seconds=1)
    assert not any_hangar.is_open(old)
    assert any_hangar.is_open(found.new_token)


def test_invented_tokens_open_nothing(hangar: Hangar) -> None:
    hangar.set_up()
    token = hangar.sign_in(KEEPER).token
    for forged in ("", "x", token[:-1], f"{token}x", hash_of(token), token.swapcase(), "\ud800"):
        assert not hangar.is_open(forged)


def test_sign_out_ends_this_session_and_everywhere_ends_all(any_hangar: Hangar) -> None:
    any_hangar.set_up()
    tablet, phone, desk = (any_hangar.sign_in(KEEPER) for _ in range(3))
    sign_out(any_hangar.store, any_hangar.known(tablet), any_hangar.now, everywhere=False)
    assert [any_hangar.is_open(one.token) for one in (tablet, phone, desk)] == [False, True, True]
    sign_out(any_hangar.store, any_hangar.known(phone), any_hangar.now, everywhere=True)
    assert [any_hangar.is_open(one.token) for one in (tablet, phone, desk)] == [False] * 3


def test_one_of_ones_own_sessions_can_be_ended_and_nobody_elses(hangar: Hangar) -> None:
    keeper = hangar.set_up()
    lead = hangar.join(keeper, "lead@hangar.example", {1: "lead"})
    mine = sessions_of(hangar.store, keeper, hangar.now)
    assert [one.id for one in mine] == [keeper.session_id]
    with pytest.raises(NoAccountError):
        end_session(hangar.store, lead, keeper.session_id or 0, hangar.now)
    end_session(hangar.store, keeper, keeper.session_id or 0, hangar.now)
    assert sessions_of(hangar.store, keeper, hangar.now) == []


def test_new_password_needs_the_old_one_and_ends_all_other_sessions(hangar: Hangar) -> None:
    keeper = hangar.set_up()
    other = hangar.sign_in(KEEPER)
    with pytest.raises(AccountError, match="old_password: is not your password"):
        change_password(hangar.store, CHEAP, keeper, OTHER, OTHER, HERE, "test", hangar.now)
    assert hangar.is_open(other.token)
    new = change_password(hangar.store, CHEAP, keeper, PASSWORD, OTHER, HERE, "test", hangar.now)
    assert not hangar.is_open(other.token)
    assert hangar.is_open(new.token)
    assert refusal(hangar, KEEPER, PASSWORD)
    assert hangar.is_open(hangar.sign_in(KEEPER, OTHER).token)


@pytest.mark.parametrize(
    ("password", "part"),
    [
        ("short words", "11 signs"),
        ("x" * 129, "129 signs"),
        ("passwordpassword", "too easy"),
        ("ribstitchribstitch", "too easy"),
        ("keeperkeeper2026", "too easy"),
        ("qwertyuiop123456", "too easy"),
        ("keeper@hangar.example", "too easy"),
    ],
)
def test_weak_password_is_refused_and_not_repeated(
    hangar: Hangar, password: str, part: str
) -> None:
    keeper = hangar.set_up()
    with pytest.raises(AccountError, match=part) as refused:
        change_password(hangar.store, CHEAP, keeper, PASSWORD, password, HERE, "test", hangar.now)
    assert password not in str(refused.value)


def test_every_sign_of_a_password_counts_however_a_keyboard_makes_it() -> None:
    """é is one sign or two (e and an accent): the same after NFKC (Unicode, annex 15)."""
    kept = CHEAP.hash(f"  ren\u00e9 {PASSWORD}{'x' * 80}y ")
    assert CHEAP.fits(f"  rene\u0301 {PASSWORD}{'x' * 80}y ", kept)
    for other in ("z ", "y", ""):
        assert not CHEAP.fits(f"  ren\u00e9 {PASSWORD}{'x' * 80}{other}", kept)


def with_second_factor(hangar: Hangar) -> tuple[pyotp.TOTP, list[str]]:
    keeper = hangar.set_up()
    offered = offer_second_factor(hangar.store, CHEAP, keeper, PASSWORD, HERE, hangar.now)
    assert offered.picture.startswith("data:image/svg+xml")
    app = pyotp.parse_uri(offered.address)
    assert isinstance(app, pyotp.TOTP)
    return app, confirm_second_factor(hangar.store, keeper, app.at(hangar.now), hangar.now)


def second_step(hangar: Hangar, token: str, code: str) -> str:
    return pass_second_factor(hangar.store, token, code, HERE, "test", hangar.now).token


def test_password_alone_opens_nothing_where_there_is_a_second_factor(hangar: Hangar) -> None:
    app, _ = with_second_factor(hangar)
    hangar.later(seconds=30)
    waiting = hangar.sign_in(KEEPER)
    assert waiting.waits
    assert not hangar.is_open(waiting.token)
    opened = second_step(hangar, waiting.token, app.at(hangar.now))
    assert hangar.is_open(opened)
    assert not hangar.is_open(waiting.token)
    with pytest.raises(SignInRefusedError, match="email and password first"):
        second_step(hangar, waiting.token, app.at(hangar.now))


def test_each_code_is_used_once(hangar: Hangar) -> None:
    app, _ = with_second_factor(hangar)
    confirmed_with = app.at(hangar.now)
    with pytest.raises(SignInRefusedError, match="code does not fit"):
        second_step(hangar, hangar.sign_in(KEEPER).token, confirmed_with)
    hangar.later(seconds=30)
    code = app.at(hangar.now)
    assert second_step(hangar, hangar.sign_in(KEEPER).token, code)
    with pytest.raises(SignInRefusedError, match="code does not fit"):
        second_step(hangar, hangar.sign_in(KEEPER).token, code)


def test_each_recovery_code_lets_somebody_in_once(any_hangar: Hangar) -> None:
    _, codes = with_second_factor(any_hangar)
    assert len(set(codes)) == 10
    assert second_step(any_hangar, any_hangar.sign_in(KEEPER).token, codes[3].upper())
    with pytest.raises(SignInRefusedError):
        second_step(any_hangar, any_hangar.sign_in(KEEPER).token, codes[3])
    assert second_step(any_hangar, any_hangar.sign_in(KEEPER).token, codes[4].replace("-", " "))


def test_sign_in_waits_ten_minutes_for_the_second_factor(hangar: Hangar) -> None:
    app, _ = with_second_factor(hangar)
    waiting = hangar.sign_in(KEEPER)
    hangar.later(minutes=10)
    with pytest.raises(SignInRefusedError, match="email and password first"):
        second_step(hangar, waiting.token, app.at(hangar.now))


def test_second_factor_is_dropped_with_the_password_alone_from_within(hangar: Hangar) -> None:
    app, _ = with_second_factor(hangar)
    hangar.later(seconds=30)
    token = second_step(hangar, hangar.sign_in(KEEPER).token, app.at(hangar.now))
    found = recognise(hangar.store, token, hangar.now)
    assert found is not None
    with pytest.raises(AccountError, match="is not your password"):
        drop_second_factor(hangar.store, CHEAP, found.known, OTHER, HERE, hangar.now)
    drop_second_factor(hangar.store, CHEAP, found.known, PASSWORD, HERE, hangar.now)
    assert not hangar.sign_in(KEEPER).waits
    assert own_account(hangar.store, found.known).recovery_hashes == []


def test_who_has_lost_app_and_codes_comes_in_by_the_commands_link(hangar: Hangar) -> None:
    with_second_factor(hangar)
    kept = make_new_password_link(hangar.store, KEEPER, hangar.now)
    assert hangar.use(kept.token, password=OTHER).waits
    dropped = make_new_password_link(hangar.store, KEEPER, hangar.now, drop_second_factor=True)
    assert not hangar.use(dropped.token).waits


def test_after_five_failures_even_the_right_password_waits(any_hangar: Hangar) -> None:
    any_hangar.set_up()
    for _ in range(5):
        refusal(any_hangar, KEEPER, OTHER)
        any_hangar.later(minutes=1)
    with pytest.raises(TooManyTriesError, match="10 minutes") as waits:
        any_hangar.sign_in(KEEPER)
    assert waits.value.seconds == 600
    any_hangar.later(minutes=10)
    assert any_hangar.is_open(any_hangar.sign_in(KEEPER).token)
    refusal(any_hangar, KEEPER, OTHER)
    assert any_hangar.is_open(any_hangar.sign_in(KEEPER).token)


def test_guessing_at_somebody_who_is_not_there_waits_alike(hangar: Hangar) -> None:
    hangar.set_up()
    for _ in range(5):
        refusal(hangar, "nobody@hangar.example", OTHER)
    with pytest.raises(TooManyTriesError, match="15 minutes"):
        hangar.sign_in("nobody@hangar.example")
    assert hangar.is_open(hangar.sign_in(KEEPER).token)


def test_one_address_that_guesses_at_many_waits_too(hangar: Hangar) -> None:
    hangar.set_up()
    for number in range(30):
        refusal(hangar, f"nobody{number}@hangar.example", OTHER)
    with pytest.raises(TooManyTriesError):
        hangar.sign_in(KEEPER)
    assert hangar.is_open(hangar.sign_in(KEEPER, address="192.0.2.8").token)


def test_guessing_codes_waits_though_the_password_fits_each_time(hangar: Hangar) -> None:
    with_second_factor(hangar)
    hangar.later(minutes=5)
    for _ in range(5):
        with pytest.raises(SignInRefusedError, match="code does not fit"):
            second_step(hangar, hangar.sign_in(KEEPER).token, "000000x")
    with pytest.raises(TooManyTriesError):
        hangar.sign_in(KEEPER)


def test_waiting_doubles_with_every_five_failures_up_to_an_hour() -> None:
    """By hand: 5 failures wait 15 minutes after the first of them, 10: 30, 15 and more: 60."""
    for failures, minutes in ((4, 0), (5, 15), (9, 15), (10, 30), (15, 60), (40, 60)):
        times = [START] * failures
        assert seconds_to_wait(times, 5, START) == minutes * 60
    times = [START + timedelta(minutes=one) for one in range(5)]
    assert seconds_to_wait(times, 5, START + timedelta(minutes=4)) == 11 * 60
    assert seconds_to_wait(times, 5, START + timedelta(minutes=15)) == 0


def test_what_was_done_to_accounts_stands_in_a_log_that_stays(any_hangar: Hangar) -> None:
    keeper = any_hangar.set_up()
    refusal(any_hangar, KEEPER, OTHER)
    refusal(any_hangar, "nobody@hangar.example", OTHER)
    any_hangar.sign_in(KEEPER)
    lines = log_lines(any_hangar.store, None, 10)
    told = [(one.action, one.who, one.account_id) for one in lines]
    assert told == [
        ("sign-in", "Keeper", keeper.account_id),
        ("sign-in-refused", "", None),
        ("sign-in-refused", "", keeper.account_id),
        ("set-up", "Keeper", keeper.account_id),
    ]
    assert [one.number for one in log_lines(any_hangar.store, lines[1].number, 1)] == [
        lines[2].number
    ]
    with (
        pytest.raises(Exception, match="append-only"),
        any_hangar.store.accounts(writes=True) as rows,
    ):
        rows._session.delete(rows.log_lines(None, 1)[0])


def test_passwords_are_hashed_with_argon2id_at_no_small_cost() -> None:
    """Parameters of the service's own passwords: at least OWASP's 19 MiB, two rounds."""
    from ribstitch.services.accounts.passwords import Passwords

    kept = Passwords().hash(PASSWORD)
    _, name, _, costs, *_ = kept.split("$")
    given = dict(one.split("=") for one in costs.split(","))
    assert name == "argon2id"
    assert int(given["m"]) >= 19 * 1024
    assert int(given["t"]) >= 2
