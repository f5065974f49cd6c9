"""The reference page of the API is what the code says today."""

from __future__ import annotations

from tools.write_api_reference import PAGE, page


def test_page_is_up_to_date() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), "run python -m tools.write_api_reference"
