"""The doctor names what is wrong and what to do; the settings say each mistake in a sentence."""

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from coachbot.core.effects import CLINICIANS
from coachbot.serve.config import ConfigError, load
from coachbot.serve.doctor import Finding, examine
from tests.matrix.clinic import Clinic, people
from tests.matrix.people import Town, bounded

GOOD = {
    "homeserver": "https://matrix.clinic.example",
    "user": "@coach:clinic.example",
    "clinicians": ["@lee:clinic.example"],
    "zone": "Europe/Berlin",
}


def now() -> datetime:
    return datetime.now(UTC)


def broken(findings: list[Finding]) -> dict[str, str]:
    return {finding.what: finding.said for finding in findings if not finding.well}


@bounded()
async def test_healthy_coach_has_no_findings(town: Town) -> None:
    async with people(town, "lee") as (lee,):
        clinic = Clinic(town, [lee])
        assert "coachbot login" in broken(await examine(clinic.config(), now))["login"]
        async with clinic.running():
            await clinic.enters(lee)
            await clinic.enters(lee, CLINICIANS)
            findings = await examine(clinic.config(), now)
        assert broken(findings) == {}
        looked_at = {finding.what for finding in findings}
        assert looked_at >= {"settings", "homeserver", "clock", "login", "encryption", "database", "taps"}


@bounded()
async def test_each_fault_is_named(town: Town) -> None:
    async with people(town, "lee") as (lee,):
        clinic = Clinic(town, [lee])
        clinic.settings["clinicians"] += ["@nobody:test"]
        async with clinic.running():
            await clinic.room(CLINICIANS)
        config = clinic.config()
        said = broken(await examine(config, lambda: now() + timedelta(hours=1)))
        assert "time server" in said["clock"]
        assert "accept the invitation" in said[f"room of {lee.user_id}"]
        assert "this Matrix id exists" in said["room of @nobody:test"]
        (config.login / "login.json").chmod(0o644)
        config.store.chmod(0o644)
        said = broken(await examine(config, now))
        assert "chmod 600" in said["login"] and "chmod 600" in said["database"]
        login = json.loads((config.login / "login.json").read_text())
        (config.login / "login.json").write_text(json.dumps({**login, "token": "no token"}))
        assert "Run: coachbot login" in broken(await examine(config, now))["login"]
        away = config.model_copy(update={"homeserver": "http://127.0.0.1:9"})
        assert "does not answer" in broken(await examine(away, now))["homeserver"]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"user": None}, "user is missing. Write a line like: user ="),
        ({"user": "coach"}, '"coach" is no Matrix id'),
        ({"clinicians": []}, "clinicians is empty"),
        ({"zone": "Berlin"}, '"Berlin" is no time zone'),
        ({"homeserver": "matrix.example"}, "is no address"),
        ({"tap": True}, "tap is no setting. Known are: homeserver"),
        ({"taps": "maybe"}, "taps: "),
        ({"digest_hour": 30}, "digest_hour: "),
        ({"staff": ["@lee:clinic.example"]}, "@lee:clinic.example stands in two places"),
    ],
)
def test_settings_say_each_mistake(tmp_path: Path, change: dict[str, object], said: str) -> None:
    settings = {key: value for key, value in {**GOOD, **change}.items() if value is not None}
    file = tmp_path / "coach.toml"
    file.write_text("".join(f"{key} = {json.dumps(value)}\n" for key, value in settings.items()))
    with pytest.raises(ConfigError) as error:
        load(file)
    assert said in str(error.value)


def test_missing_and_broken_files_are_said(tmp_path: Path) -> None:
    with pytest.raises(ConfigError, match="cannot be read"):
        load(tmp_path / "nowhere.toml")
    (tmp_path / "coach.toml").write_text("user = ")
    with pytest.raises(ConfigError, match="is no TOML"):
        load(tmp_path / "coach.toml")
