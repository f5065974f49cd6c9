"""Figures."""

from __future__ import annotations

from typing import Any

from pydantic import Field

from ribstitch.api.schemas.base import Answer


class Figure(Answer):
    """A figure as Plotly reads it."""

    data: list[dict[str, Any]] = Field(description="Traces")
    layout: dict[str, Any]
