"""How random tests run: a fixed set of examples, no clock, nothing kept between runs."""

from __future__ import annotations

from hypothesis import HealthCheck, settings


def examples(count: int) -> settings:
    """Return settings for a fixed number of random examples."""
    return settings(
        max_examples=count,
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    )
