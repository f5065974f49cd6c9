"""A database for a trial that is run by hand, outside of the suite."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from tests.support.postgres import fresh_database, running_server


@contextmanager
def trial_database(*, postgresql: bool) -> Iterator[tuple[str, Path]]:
    """
    Give the address of an empty database, and a folder that is gone afterwards.

    Parameters
    ----------
    postgresql
        On a server of its own; else an SQLite file in the folder.
    """
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="ribstitch-trial-")))
        if postgresql:
            yield stack.enter_context(fresh_database(stack.enter_context(running_server()))), folder
        else:
            yield f"sqlite:///{folder / 'ribstitch.db'}", folder
