"""A digest of what a draft says of a thing: another one says something else of it.

What stands as it does by default is left out, so that a digest stays what it was when
things learn to hold more.
"""

from __future__ import annotations

import json
from dataclasses import MISSING, Field, fields, is_dataclass
from functools import cache
from hashlib import sha256
from typing import Any

LENGTH = 16
"""Hexadecimal digits: 64 bits tell the things of one plan apart."""


_text = json.JSONEncoder(sort_keys=True, default=str).encode


def digest_of(thing: Any, names: frozenset[str]) -> str:
    """
    Return the digest of some fields of a thing.

    Parameters
    ----------
    thing
        A dataclass of the model.
    names
        The fields that count.
    """
    said = {name: value for name, value in _said(thing).items() if name in names}
    return sha256(_text(said).encode()).hexdigest()[:LENGTH]


def _said(thing: Any) -> dict[str, Any]:
    """Return the fields of a thing that are not as by default; enums and dates become text."""
    found: dict[str, Any] = {}
    for name, default in _fields(thing.__class__):
        value = getattr(thing, name)
        if value != default:
            found[name] = _said(value) if is_dataclass(value) else value
    return found


@cache
def _fields(kind: Any) -> tuple[tuple[str, Any], ...]:
    return tuple((one.name, _default(one)) for one in fields(kind))


def _default(one: Field[Any]) -> Any:
    if one.default is not MISSING:
        return one.default
    return None if one.default_factory is MISSING else one.default_factory()
