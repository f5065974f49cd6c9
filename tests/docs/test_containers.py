"""
What can be said of the container files without running a container engine.

The tests read them, and run what the image would run; nothing here builds an image.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import yaml

from ribstitch import __version__
from ribstitch.settings import Settings
from tests.docs.pages import ROOT
from tests.support.service import running_command

COMPOSE: dict[str, Any] = yaml.safe_load((ROOT / "docker-compose.yml").read_text(encoding="utf-8"))
SERVICES: dict[str, Any] = COMPOSE["services"]
DOCKERFILE = (ROOT / "Dockerfile").read_text(encoding="utf-8")
RUN_STAGE = DOCKERFILE.rpartition("\nFROM ")[2]


def test_service_waits_for_a_healthy_database() -> None:
    assert set(SERVICES) == {"service", "database"}
    assert all(one["healthcheck"]["test"] for one in SERVICES.values())
    assert SERVICES["service"]["depends_on"]["database"]["condition"] == "service_healthy"


def test_data_lie_in_named_volumes() -> None:
    mounted = {volume.split(":")[0] for one in SERVICES.values() for volume in one["volumes"]}
    assert mounted == set(COMPOSE["volumes"])


def test_password_has_to_be_chosen_and_stands_in_a_file_alone() -> None:
    """Compose refuses to start without the file; no variable holds a password."""
    (secret,) = COMPOSE["secrets"].items()
    assert secret == ("database-password", {"file": "./database-password.txt"})
    place = f"/run/secrets/{secret[0]}"
    for one, name in (
        (SERVICES["service"], "RIBSTITCH_DATABASE_PASSWORD_FILE"),
        (SERVICES["database"], "POSTGRES_PASSWORD_FILE"),
    ):
        assert one["secrets"] == [secret[0]]
        said = {key: value for key, value in one["environment"].items() if "PASSWORD" in key}
        assert said == {name: place}
    address = SERVICES["service"]["environment"]["RIBSTITCH_DATABASE_URL"]
    assert re.fullmatch(r"postgresql\+psycopg://ribstitch@database:5432/ribstitch", address)
    ignored = (ROOT / ".gitignore").read_text(encoding="utf-8").splitlines()
    assert "/database-password.txt" in ignored
    assert (ROOT / ".dockerignore").read_text(encoding="utf-8").startswith("*\n")


def test_service_is_not_open_to_the_network_by_default() -> None:
    assert all(port.startswith("127.0.0.1:") for port in SERVICES["service"]["ports"])
    assert "ports" not in SERVICES["database"]


def test_every_variable_is_a_setting() -> None:
    given = set(re.findall(r"\b(RIBSTITCH_\w+)=", DOCKERFILE))
    given |= set(SERVICES["service"]["environment"])
    assert {name.removeprefix("RIBSTITCH_").lower() for name in given} <= set(Settings.model_fields)


def test_container_runs_read_only_and_without_rights() -> None:
    service = SERVICES["service"]
    assert service["read_only"] is True
    assert service["cap_drop"] == ["ALL"]
    assert service["tmpfs"] == ["/tmp"]  # noqa: S108 - a mount in the container
    assert re.search(r"^USER ribstitch$", RUN_STAGE, re.MULTILINE)
    assert "pip install" not in RUN_STAGE


def test_image_is_built_in_two_stages_from_the_version_at_hand() -> None:
    assert len(re.findall(r"^FROM ", DOCKERFILE, re.MULTILINE)) == 2
    assert SERVICES["service"]["image"] == f"ribstitch:{__version__}"


def test_what_is_written_to_are_volumes_of_the_user_that_runs() -> None:
    """A named volume takes the owner of the folder in the image."""
    (owned,) = re.findall(
        r"install --directory --owner=ribstitch --group=ribstitch (.+)", RUN_STAGE
    )
    (volumes,) = re.findall(r"^VOLUME (.+)$", RUN_STAGE, re.MULTILINE)
    mounted = [volume.split(":")[1] for volume in SERVICES["service"]["volumes"]]
    assert owned.split() == volumes.split() == mounted
    assert SERVICES["service"]["environment"]["RIBSTITCH_BACKUP_FOLDER"] in mounted


def test_every_step_of_the_build_is_a_script_that_a_shell_can_read() -> None:
    steps = re.findall(r"^RUN ((?:.*\\\n)*.*)$", DOCKERFILE, re.MULTILINE)
    assert len(steps) == 2
    for step in steps:
        subprocess.run(["sh", "-n", "-c", step.replace("\\\n", " ")], check=True)


def test_both_health_checks_ask_the_same() -> None:
    (in_image,) = re.findall(r"HEALTHCHECK .*\\\n  CMD (.+)$", DOCKERFILE, re.MULTILINE)
    assert ["CMD", *json.loads(in_image)] == SERVICES["service"]["healthcheck"]["test"]


def test_image_as_it_is_configured_serves_and_calls_itself_healthy(tmp_path: Path) -> None:
    """Its variables, its command and its check, with a folder here for each of its volumes."""
    variables = dict(re.findall(r"(RIBSTITCH_\w+)=(\S+)", RUN_STAGE))
    (entry,) = re.findall(r"^ENTRYPOINT (.+)$", RUN_STAGE, re.MULTILINE)
    (command,) = re.findall(r"^CMD (.+)$", RUN_STAGE, re.MULTILINE)
    (check,) = re.findall(r"^  CMD (.+)$", RUN_STAGE, re.MULTILINE)
    assert json.loads(entry) == ["ribstitch"]
    here = {name: value.replace("/data", str(tmp_path)) for name, value in variables.items()}
    (tmp_path / "backups").mkdir()
    here["RIBSTITCH_BACKUP_FOLDER"] = str(tmp_path / "backups")
    port = here.pop("RIBSTITCH_PORT")
    serve = [sys.executable, "-m", "ribstitch.cli", *json.loads(command)]
    with running_command(serve, tmp_path, here) as address:
        program, *arguments = json.loads(check)
        assert program == "python"
        asked = [one.replace(port, address.rpartition(":")[2]) for one in arguments]
        subprocess.run([sys.executable, *asked], check=True, timeout=30)
    lines = [json.loads(line) for line in (tmp_path / "service.log").read_text().splitlines()
             if line.startswith("{")]  # fmt: skip
    assert "/api/v1/ready" in {line.get("route") for line in lines}
    assert not [line for line in lines if line["level"] not in {"debug", "info"}]
