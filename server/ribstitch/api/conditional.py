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


IfMatch = Annotated[
    str | None,
    Header(description='The version that was read, as its ETag: `"3"`', examples=['"3"']),
]


async def expected_version(if_match: IfMatch = None) -> int:
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
    return _version_in(if_match)


async def version_if_given(if_match: IfMatch = None) -> int | None:
    """
    Return the version that a request is meant for; None if it does not say.

    Raises
    ------
    ProblemError
        400 if the header holds no version.
    """
    return None if if_match is None else _version_in(if_match)


def _version_in(header: str) -> int:
    """Return the version that an If-Match header names."""
    number = header.strip().removeprefix("W/").strip('"')
    if not (number.isascii() and number.isdecimal() and len(number) < 18):
        raise ProblemError(MALFORMED, f'If-Match: {header[:40]} is not one version, such as "3".')
    return int(number)
