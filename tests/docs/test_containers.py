"""
What can be said of the container files without running a container engine.

The tests read them; nothing here builds an image.
"""

from __future__ import annotations

import re
from typing import Any

import yaml

from ribstitch import __version__
from ribstitch.settings import Settings
from tests.docs.pages import ROOT

COMPOSE: dict[str, Any] = yaml.safe_load((ROOT / "docker-compose.yml").read_text(encoding="utf-8"))
SERVICES: dict[str, Any] = COMPOSE["services"]
DOCKERFILE = (ROOT / "Dockerfile").read_text(encoding="utf-8")


def test_service_waits_for_a_healthy_database() -> None:
    assert set(SERVICES) == {"service", "database"}
    assert all(one["healthcheck"]["test"] for one in SERVICES.values())
    assert SERVICES["service"]["depends_on"]["database"]["condition"] == "service_healthy"


def test_data_lie_in_named_volumes() -> None:
    mounted = {volume.split(":")[0] for one in SERVICES.values() for volume in one["volumes"]}
    assert mounted == set(COMPOSE["volumes"])


def test_password_has_to_be_chosen() -> None:
    """Every password comes from the environment, which refuses to be without one."""
    given = {
        name: value
        for one in SERVICES.values()
        for name, value in one["environment"].items()
        if "PASSWORD" in name
    }
    assert set(given) == {"PGPASSWORD", "POSTGRES_PASSWORD"}
    for value in given.values():
        assert re.fullmatch(r"\$\{RIBSTITCH_DB_PASSWORD:\?[^}]+\}", value)
    address = SERVICES["service"]["environment"]["RIBSTITCH_DATABASE_URL"]
    assert re.fullmatch(r"postgresql\+psycopg://ribstitch@database:5432/ribstitch", address)


def test_service_is_not_open_to_the_network_by_default() -> None:
    assert all(port.startswith("127.0.0.1:") for port in SERVICES["service"]["ports"])
    assert "ports" not in SERVICES["database"]


def test_every_variable_is_a_setting() -> None:
    given = set(re.findall(r"\b(RIBSTITCH_\w+)=", DOCKERFILE))
    given |= {name for name in SERVICES["service"]["environment"] if name != "PGPASSWORD"}
    assert {name.removeprefix("RIBSTITCH_").lower() for name in given} <= set(Settings.model_fields)


def test_container_runs_read_only_and_without_rights() -> None:
    service = SERVICES["service"]
    assert service["read_only"] is True
    assert service["cap_drop"] == ["ALL"]
    assert service["tmpfs"] == ["/tmp"]  # noqa: S108 - a mount in the container
    run_stage = DOCKERFILE.rpartition("\nFROM ")[2]
    assert re.search(r"^USER ribstitch$", run_stage, re.MULTILINE)
    assert "pip install" not in run_stage


def test_image_is_built_in_two_stages_from_the_version_at_hand() -> None:
    assert len(re.findall(r"^FROM ", DOCKERFILE, re.MULTILINE)) == 2
    assert "/api/v1/health" in DOCKERFILE
    assert SERVICES["service"]["image"] == f"ribstitch:{__version__}"
