"""Settings: read from the environment, refused in one sentence."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import make_url

from ribstitch.settings import Settings, SettingsError, check_reach, is_loopback, load_settings


@pytest.fixture(autouse=True)
def _no_settings(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in (*Settings.model_fields, "config"):
        monkeypatch.delenv(f"RIBSTITCH_{name.upper()}", raising=False)


def test_without_anything_set_this_machine_alone_is_served() -> None:
    settings = load_settings()
    assert settings.host == "127.0.0.1"
    assert settings.database_url == "sqlite:///ribstitch.db"
    check_reach(settings)


def test_environment_is_read_and_what_is_given_wins(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RIBSTITCH_PORT", "9000")
    assert load_settings().port == 9000
    assert load_settings(port=9001, host=None).port == 9001


@pytest.mark.parametrize(
    ("name", "value", "parts"),
    [
        ("PORT", "many", ("integer", "many")),
        ("PORT", "70000", ("65535", "70000")),
        ("DATABASE_URL", "mysql://root@db/x", ("mysql", "sqlite:///FILE")),
        ("PROXIES", "10.0.0.0/8, proxy.hangar.example", ("no address", "proxy.hangar.example")),
        ("PUBLIC_URL", "plan.hangar.example", ("https://", "plan.hangar.example")),
        ("PUBLIC_URL", "ftp://plan.hangar.example", ("https://", "ftp:")),
        ("PUBLIC_URL", "https://plan.hangar.example/ribstitch", ("https://", "/ribstitch")),
        ("RUNS", "99", ("100", "99")),
        ("RUNS", "1000000", ("100000", "1000000")),
        ("SEED", "-1", ("0", "-1")),
        ("LOG_LEVEL", "loud", ("'warning'", "loud")),
        ("METRICS", "everyone", ("'open'", "everyone")),
    ],
)
def test_refused_setting_is_named_in_one_sentence(
    monkeypatch: pytest.MonkeyPatch, name: str, value: str, parts: tuple[str, ...]
) -> None:
    monkeypatch.setenv(f"RIBSTITCH_{name}", value)
    with pytest.raises(SettingsError) as refused:
        load_settings()
    sentence = str(refused.value)
    assert sentence.startswith(f"RIBSTITCH_{name}: ")
    assert "\n" not in sentence
    for part in parts:
        assert part in sentence


def test_an_empty_public_address_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    """As in a container whose environment names it and does not set it."""
    monkeypatch.setenv("RIBSTITCH_PUBLIC_URL", "")
    assert load_settings().public_url is None
    monkeypatch.setenv("RIBSTITCH_PUBLIC_URL", "https://plan.hangar.example/")
    assert load_settings().public_url == "https://plan.hangar.example"


def test_a_password_in_a_refused_address_is_not_repeated(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RIBSTITCH_DATABASE_URL", "mysql://root:secret@db/x")
    with pytest.raises(SettingsError) as refused:
        load_settings()
    assert "secret" not in str(refused.value)


@pytest.mark.parametrize("host", ["", "::", "192.168.1.5", "hangar.local", "example.org"])
def test_other_machines_are_shown_no_demo_where_nobody_signs_in(host: str) -> None:
    assert not is_loopback(host)
    with pytest.raises(SettingsError, match="nobody signs in"):
        check_reach(load_settings(host=host))


@pytest.mark.parametrize("host", ["127.0.0.1", "127.8.8.8", "localhost", "::1", "[::1]"])
def test_this_machine_is_served(host: str) -> None:
    assert is_loopback(host)
    check_reach(load_settings(host=host))


def test_a_variable_that_is_empty_is_not_set(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RIBSTITCH_PORT", "")
    assert load_settings().port == 8765


@pytest.fixture
def config(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """The file that the environment names."""
    file = tmp_path / "ribstitch.toml"
    monkeypatch.setenv("RIBSTITCH_CONFIG", str(file))
    return file


def test_file_is_read_after_the_environment_and_what_is_given(
    config: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    config.write_text('port = 9000\nruns = 500\nseed = 7\nbackup_folder = "kept"\n')
    monkeypatch.setenv("RIBSTITCH_RUNS", "600")
    settings = load_settings(seed=8)
    assert (settings.port, settings.runs, settings.seed) == (9000, 600, 8)
    assert settings.backup_folder == Path("kept")


def test_an_empty_variable_leaves_the_line_of_the_file(
    config: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    config.write_text("port = 9000\n")
    monkeypatch.setenv("RIBSTITCH_PORT", "")
    assert load_settings().port == 9000


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("prot = 9000", 'ribstitch.toml: there is no setting "prot"'),
        ("RIBSTITCH_PORT = 9000", 'ribstitch.toml: there is no setting "RIBSTITCH_PORT"'),
        ("[service]\nport = 9000", 'ribstitch.toml: there is no setting "service"'),
        ("port = 70000", "ribstitch.toml: port: Input should be less than or equal to 65535"),
        ("port = 9000\nport = 9001", "ribstitch.toml: is not written in TOML (Cannot overwrite"),
        ('database_url = "mysql://root:secret@db/x"', 'ribstitch.toml: database_url: "mysql" is'),
    ],
)
def test_a_refused_line_of_the_file_is_named_with_the_file(
    config: Path, text: str, sentence: str
) -> None:
    config.write_text(text)
    with pytest.raises(SettingsError) as refused:
        load_settings()
    assert sentence in str(refused.value)
    assert "secret" not in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_file_that_is_not_there_is_refused(config: Path) -> None:
    with pytest.raises(SettingsError, match=r"RIBSTITCH_CONFIG: .*toml: No such file"):
        load_settings()


def test_the_password_of_the_database_may_stand_in_a_file_of_its_own(tmp_path: Path) -> None:
    file = tmp_path / "password"
    file.write_text("p@ss/wörd:%\n", encoding="utf-8")
    settings = load_settings(
        database_url="postgresql://ribstitch@db:5432/plans", database_password_file=file
    )
    address = make_url(settings.database_address)
    assert (address.password, address.host, address.database) == ("p@ss/wörd:%", "db", "plans")
    assert "p@ss" not in settings.database_url
    file.unlink()
    with pytest.raises(FileNotFoundError):
        assert settings.database_address
