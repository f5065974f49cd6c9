"""One's own account: name, password, second factor."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from ribstitch.services.accounts.errors import (
    AccountError,
    AccountStandsError,
    NoAccountError,
)
from ribstitch.services.accounts.fields import name_of
from ribstitch.services.accounts.known import Known, log
from ribstitch.services.accounts.links import forget_second_factor
from ribstitch.services.accounts.passwords import Passwords, check_password
from ribstitch.services.accounts.second_factor import (
    address_of,
    fitting_step,
    hash_of_recovery,
    new_recovery_codes,
    new_secret,
    picture_of,
)
from ribstitch.services.accounts.sessions import Opened, end_sessions, open_session
from ribstitch.services.accounts.throttle import begin_try, pass_over
from ribstitch.store import Accounts, StaleEditError, Store
from ribstitch.store.tables import AccountRow


@dataclass(frozen=True, slots=True)
class SecondFactorOffered:
    """What an authenticator app is told, this once."""

    secret: str
    address: str
    picture: str
    """The address as a QR code: a picture as `data:`."""


def own_account(store: Store, known: Known) -> AccountRow:
    """Return one's own account."""
    with store.accounts(writes=False) as accounts:
        return _own(accounts, known)


def change_name(store: Store, known: Known, name: str, expected: int, now: datetime) -> AccountRow:
    """
    Change one's own name; what was done before keeps the old one.

    Raises
    ------
    AccountError
        If the name is refused.
    StaleEditError
        If the account was changed in the meantime.
    """
    with store.accounts(writes=True) as accounts:
        account = _own(accounts, known, lock=True)
        if account.version != expected:
            raise StaleEditError("account", str(account.id), expected, account.version, ())
        new, detail = name_of(name), f"{account.name} -> {name.strip()}"
        if new != account.name:
            account.name = new
            account.version += 1
            log(accounts, now, "name", by=known, about=account.id, detail=detail)
        return account


def change_password(
    store: Store,
    passwords: Passwords,
    known: Known,
    old: str,
    new: str,
    address: str,
    device: str,
    now: datetime,
) -> Opened:
    """
    Change one's own password; all sessions end, and a new one begins.

    Raises
    ------
    TooManyTriesError, AccountError
        If the old password does not fit, or the new one is refused.
    """
    check_password(new, (known.name, known.email), "new_password")
    kept = _prove(store, passwords, known, old, "old_password", address, now)
    password_hash = passwords.hash(new)
    with store.accounts(writes=True) as accounts:
        account = _proved(accounts, known, kept)
        account.password_hash = password_hash
        account.version += 1
        end_sessions(accounts, known.account_id)
        log(accounts, now, "password", by=known, about=known.account_id, detail=device)
        return open_session(accounts, account, device, now, is_whole=True)


def offer_second_factor(
    store: Store, passwords: Passwords, known: Known, password: str, address: str, now: datetime
) -> SecondFactorOffered:
    """
    Show a new secret; it counts once a code confirms it.

    Raises
    ------
    TooManyTriesError, AccountError
        If the password does not fit.
    """
    kept = _prove(store, passwords, known, password, "password", address, now)
    secret = new_secret()
    with store.accounts(writes=True) as accounts:
        _proved(accounts, known, kept).totp_pending = secret
    told = address_of(secret, known.email)
    return SecondFactorOffered(secret, told, picture_of(told))


def confirm_second_factor(store: Store, known: Known, code: str, now: datetime) -> list[str]:
    """
    Let the secret that was shown count from now on; return recovery codes, this once.

    Other sessions end: they were opened without it.

    Raises
    ------
    AccountError
        If the code does not fit.
    AccountStandsError
        If no secret was shown.
    """
    codes = new_recovery_codes()
    with store.accounts(writes=True) as accounts:
        account = _own(accounts, known, lock=True)
        if account.totp_pending is None:
            raise AccountStandsError("Ask for a new second factor first.")
        step = fitting_step(account.totp_pending, code, now, 0)
        if step is None:
            raise AccountError("code", "does not fit: compare the clock of the device, try again")
        account.totp_secret, account.totp_pending = account.totp_pending, None
        account.totp_step = step
        account.recovery_hashes = [hash_of_recovery(one) for one in codes]
        account.version += 1
        end_sessions(accounts, known.account_id, but=known.session_id)
        log(accounts, now, "second-factor", by=known, about=known.account_id)
    return codes


def drop_second_factor(
    store: Store, passwords: Passwords, known: Known, password: str, address: str, now: datetime
) -> None:
    """Do without a second factor; raises as `offer_second_factor` does."""
    kept = _prove(store, passwords, known, password, "password", address, now)
    with store.accounts(writes=True) as accounts:
        account = _proved(accounts, known, kept)
        forget_second_factor(account)
        log(accounts, now, "no-second-factor", by=known, about=known.account_id)


def _own(accounts: Accounts, known: Known, *, lock: bool = False) -> AccountRow:
    account = accounts.account(known.account_id, lock=lock)
    if account is None or account.closed_at is not None:
        raise NoAccountError(f"open account {known.account_id}")
    return account


def _prove(
    store: Store,
    passwords: Passwords,
    known: Known,
    password: str,
    field: str,
    address: str,
    now: datetime,
) -> str | None:
    """Check one's own password, as slowly as at the sign-in; return the hash that it fits."""
    number = begin_try(store, known.email, address, now)
    kept = own_account(store, known).password_hash
    if not passwords.fits(password, kept):
        raise AccountError(field, "is not your password")
    with store.accounts(writes=True) as accounts:
        pass_over(accounts, number)
    return kept


def _proved(accounts: Accounts, known: Known, kept: str | None) -> AccountRow:
    """Return one's own account, if its password is still the one that was proved."""
    account = _own(accounts, known, lock=True)
    if account.password_hash != kept:
        raise AccountStandsError("Your password was changed in the meantime: sign in again.")
    return account
