"""Commands about accounts: links that let somebody in."""

from __future__ import annotations

import typer

from ribstitch.cli.database import opened, settings_for
from ribstitch.cli.refusal import RefusedError
from ribstitch.clock import Clock
from ribstitch.services.accounts.errors import AccountError
from ribstitch.services.accounts.links import (
    Handed,
    make_new_password_link,
    make_set_up_link,
)
from ribstitch.settings import Settings


def offer_set_up(settings: Settings, address: str) -> str:
    """Return what to tell whoever starts the service: how the first account is made; or nothing."""
    with opened(settings) as store:
        link = make_set_up_link(store, Clock().now_utc())
    if link is None:
        return ""
    return f"To give people accounts, open {_shown(settings, address, link)}"


def print_set_up_link(database: str | None) -> None:
    """
    Print another link to the first account.

    Raises
    ------
    RefusedError
        If there is an account already.
    """
    settings = settings_for(database)
    with opened(settings) as store:
        link = make_set_up_link(store, Clock().now_utc())
    if link is None:
        raise RefusedError(
            "somebody has an account already: keepers invite others, and "
            "`ribstitch reset-link EMAIL` lets in who has lost the password"
        )
    typer.echo(_shown(settings, _address(settings), link))


def print_reset_link(email: str, database: str | None, *, drop_second_factor: bool) -> None:
    """
    Print a link with which somebody sets a new password.

    Raises
    ------
    RefusedError
        If nobody with that email has an open account.
    """
    settings = settings_for(database)
    with opened(settings) as store:
        try:
            link = make_new_password_link(
                store, email, Clock().now_utc(), drop_second_factor=drop_second_factor
            )
        except AccountError as refused:
            raise RefusedError(str(refused)) from refused
    typer.echo(_shown(settings, _address(settings), link))


def _address(settings: Settings) -> str:
    """Return where the service probably answers."""
    return f"http://127.0.0.1:{settings.port}"


def _shown(settings: Settings, address: str, link: Handed) -> str:
    """Return a link: its token stands behind the #, which no browser sends and no server logs."""
    until = f"{link.ends_at:%Y-%m-%d %H:%M} UTC"
    return f"{settings.public_url or address}/join#{link.token} (once, until {until})"
