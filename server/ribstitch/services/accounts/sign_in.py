"""Signing in: email and password, then the second factor where there is one."""

from __future__ import annotations

from datetime import datetime

from ribstitch.services.accounts.errors import SignInRefusedError
from ribstitch.services.accounts.known import log
from ribstitch.services.accounts.passwords import Passwords
from ribstitch.services.accounts.random_tokens import hash_of
from ribstitch.services.accounts.second_factor import fitting_step, without_code
from ribstitch.services.accounts.sessions import Opened, open_session
from ribstitch.services.accounts.throttle import begin_try, pass_over, succeed
from ribstitch.store import Accounts, Store
from ribstitch.store.tables import AccountRow, BrowserSessionRow

_DO_NOT_FIT = "Email and password do not fit together."
_NOT_WAITING = "Sign in with email and password first."
_NO_CODE = "This code does not fit: wait for the next one, or take a recovery code."


def sign_in(
    store: Store,
    passwords: Passwords,
    email: str,
    password: str,
    address: str,
    device: str,
    now: datetime,
) -> Opened:
    """
    Begin a session; where there is a second factor, it still waits for that.

    Raises
    ------
    TooManyTriesError
        If too many tries did not fit.
    SignInRefusedError
        If there is no such account, or the password is another one.
    """
    email = email.strip().lower()
    number = begin_try(store, email, address, now)
    with store.accounts(writes=False) as accounts:
        found = accounts.by_email(email)
    kept = None if found is None or found.closed_at is not None else found.password_hash
    fits = passwords.fits(password, kept)
    with store.accounts(writes=True) as accounts:
        account = accounts.account(found.id or 0, lock=True) if found else None
        if account is None or not fits or account.password_hash != kept or account.closed_at:
            log(accounts, now, "sign-in-refused", about=account.id if account else None)
        else:
            opened = open_session(accounts, account, device, now)
            if opened.waits:
                pass_over(accounts, number)
            else:
                succeed(accounts, number)
                log(accounts, now, "sign-in", by=account, about=account.id, detail=device)
            return opened
    raise SignInRefusedError(_DO_NOT_FIT)


def pass_second_factor(
    store: Store, token: str, code: str, address: str, device: str, now: datetime
) -> Opened:
    """
    Open a session that waits, by a code of the app or a recovery code; each is used once.

    Raises
    ------
    TooManyTriesError
        If too many tries did not fit.
    SignInRefusedError
        If the session does not wait (any more), or the code does not fit.
    """
    with store.accounts(writes=False) as accounts:
        waiting = _waiting(accounts, token, now)
        known = None if waiting is None else accounts.account(waiting.account_id)
    if known is None or known.closed_at is not None:
        raise SignInRefusedError(_NOT_WAITING)
    number = begin_try(store, known.email, address, now)
    with store.accounts(writes=True) as accounts:
        account = accounts.account(known.id or 0, lock=True)
        waiting = _waiting(accounts, token, now)
        if account is not None and waiting is not None and _use_code(account, code, now):
            accounts.remove(waiting)
            succeed(accounts, number)
            log(accounts, now, "sign-in", by=account, about=account.id, detail=device)
            return open_session(accounts, account, device, now, is_whole=True)
        log(accounts, now, "second-factor-refused", about=known.id)
    raise SignInRefusedError(_NO_CODE)


def _use_code(account: AccountRow, code: str, now: datetime) -> bool:
    """Use a code of the app, or a recovery code, up; False if it fits neither."""
    if account.totp_secret is None:
        return False
    step = fitting_step(account.totp_secret, code, now, account.totp_step)
    if step is not None:
        account.totp_step = step
        return True
    left = without_code(account.recovery_hashes, code)
    if left is not None:
        account.recovery_hashes = left
    return left is not None


def _waiting(accounts: Accounts, token: str, now: datetime) -> BrowserSessionRow | None:
    """Return the session of a token if it waits for the second factor."""
    row = accounts.browser_session(hash_of(token))
    return row if row is not None and row.waits and now < row.ends_at else None
