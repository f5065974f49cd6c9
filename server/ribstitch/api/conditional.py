"""ETag, If-Match and If-None-Match: which version is read, which one is edited."""

from __future__ import annotations

from typing import Annotated

from fastapi import Header

from ribstitch.api.problems import MALFORMED, UNCONDITIONAL, ProblemError


def etag(version: int) -> str:
    """Return the ETag of a thing at a version."""
    return f'"{version}"'


def matches(header: str | None, tag: str) -> bool:
    """Return whether an If-None-Match header names a tag (weak comparison, RFC 9110)."""
    if header is None:
        return False
    wanted = tag.removeprefix("W/")
    return header.strip() == "*" or any(
        one.strip().removeprefix("W/") == wanted for one in header.split(",")
    )


async def expected_version(
    if_match: Annotated[
        str | None,
        Header(description='The version that was read, as its ETag: `"3"`', examples=['"3"']),
    ] = None,
) -> int:
    """
    Return the version that an edit is meant for.

    Raises
    ------
    ProblemError
        428 if the header is missing, 400 if it holds no version.
    """
    if if_match is None:
        raise ProblemError(
            UNCONDITIONAL, 'If-Match is missing: send the version that was read, such as "3".'
        )
    number = if_match.strip().removeprefix("W/").strip('"')
    if not (number.isascii() and number.isdecimal() and len(number) < 18):
        raise ProblemError(MALFORMED, f'If-Match: {if_match[:40]} is not one version, such as "3".')
    return int(number)
