"""Numbers about the running service, in the text format that Prometheus reads."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping
from time import perf_counter
from typing import ParamSpec, TypeVar

from prometheus_client import CollectorRegistry, Counter, Histogram, generate_latest
from prometheus_client.core import GaugeMetricFamily, Metric
from prometheus_client.exposition import CONTENT_TYPE_PLAIN_0_0_4 as MEDIA_TYPE
from prometheus_client.multiprocess import MultiProcessCollector

_Result = TypeVar("_Result")
_Given = ParamSpec("_Given")
_REQUEST_SECONDS = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0)
_SIMULATION_SECONDS = (0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 30.0, 60.0)

__all__ = ["MEDIA_TYPE", "Gauges", "Metrics"]

Gauges = Callable[[], Mapping[str, float]]
"""What is true at the moment, by name."""


class Metrics:
    """What one process counts."""

    def __init__(self) -> None:
        self._registry = CollectorRegistry()
        self._moment = CollectorRegistry()
        self._requests = Counter(
            "ribstitch_requests",
            "Requests that were answered.",
            ["method", "route", "status"],
            registry=self._registry,
        )
        self._seconds = Histogram(
            "ribstitch_request_seconds",
            "How long it took to answer.",
            ["route"],
            buckets=_REQUEST_SECONDS,
            registry=self._registry,
        )
        self._simulation_seconds = Histogram(
            "ribstitch_simulation_seconds",
            "How long a simulation took.",
            buckets=_SIMULATION_SECONDS,
            registry=self._registry,
        )

    def answered(self, method: str, route: str, status: int, seconds: float) -> None:
        """Count a request; status 0 if it broke off before it was answered."""
        self._requests.labels(method, route, str(status)).inc()
        self._seconds.labels(route).observe(seconds)

    def timed(self, simulate: Callable[_Given, _Result]) -> Callable[_Given, _Result]:
        """Return the same, with each simulation that comes to its end measured."""

        def measured(*args: _Given.args, **kwargs: _Given.kwargs) -> _Result:
            begun = perf_counter()
            result = simulate(*args, **kwargs)
            self._simulation_seconds.observe(perf_counter() - begun)
            return result

        return measured

    def show(self, gauges: Gauges) -> None:
        """Show what is true at the moment as well."""
        self._moment.register(_Moment(gauges))

    def text(self) -> bytes:
        """Return everything; what several processes have counted, added up."""
        if "PROMETHEUS_MULTIPROC_DIR" not in os.environ:
            return generate_latest(self._registry) + generate_latest(self._moment)
        together = CollectorRegistry()
        MultiProcessCollector(together)  # type: ignore[no-untyped-call]
        return generate_latest(together) + generate_latest(self._moment)


class _Moment:
    """Asks whenever somebody reads."""

    def __init__(self, gauges: Gauges) -> None:
        self._gauges = gauges

    def describe(self) -> Iterable[Metric]:
        """Say nothing beforehand: what is asked may not be ready yet."""
        return ()

    def collect(self) -> Iterable[Metric]:
        """Return one gauge a name."""
        for name, value in self._gauges().items():
            said = name.replace("_", " ").capitalize()
            yield GaugeMetricFamily(f"ribstitch_{name}", f"{said}.", value)
