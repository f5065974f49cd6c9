"""How a command says no."""

from __future__ import annotations


class RefusedError(Exception):
    """Bad input; `str()` is one sentence for the person at the keyboard."""
