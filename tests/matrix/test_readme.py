"""The README's way to run it for a team works as it is written: settings, login, serve, doctor."""

import os
import re
import signal
import subprocess
import sys
from pathlib import Path

from coachbot.core.effects import CLINICIANS
from tests.matrix.clinic import Clinic, people
from tests.matrix.people import PASSWORD, Town, bounded, until

README = Path(__file__).parents[2] / "README.md"


def settings(town: Town, coach: str, lee: str) -> str:
    """The README's coach.toml, with the homeserver and the people of this test."""
    found = re.search(r"```toml\n(.*?)```", README.read_text("utf-8"), re.DOTALL)
    assert found is not None
    text = re.sub(r"^   ", "", found[1], flags=re.MULTILINE)
    ours = {"@coach:clinic.example": coach, "@lee:clinic.example": lee, "https://matrix.clinic.example": town.url}
    for theirs, mine in ours.items():
        text = text.replace(theirs, mine)
    return re.sub(r"@(kim|finn|owner):clinic.example", rf"@\1-{town.tag}:test", text)


def coachbot(town: Town, command: str, **environment: str) -> "subprocess.Popen[str]":
    return subprocess.Popen(
        [sys.executable, "-m", "coachbot", command],
        cwd=town.folder,
        env={**os.environ, "PYTHONPATH": str(README.parent), **environment},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        stdin=subprocess.DEVNULL,
        text=True,
    )


@bounded()
async def test_team_run_works_as_written(town: Town) -> None:
    async with people(town, "lee") as (lee,):
        coach = town.register("coach")
        for name in ("kim", "finn", "owner"):
            town.register(name)
        (town.folder / "coach.toml").write_text(settings(town, coach, lee.user_id))
        clinic = Clinic(town, [lee])
        out, err = coachbot(town, "login").communicate(timeout=30)
        assert "COACHBOT_PASSWORD" in err
        out, err = coachbot(town, "login", COACHBOT_PASSWORD=PASSWORD).communicate(timeout=30)
        assert "Logged in as" in out, err
        assert (town.folder / "login" / "login.json").stat().st_mode & 0o077 == 0
        with coachbot(town, "serve") as serving:
            try:
                for key in (lee.user_id, CLINICIANS):
                    await clinic.enters(lee, key)
                await until(lambda: clinic.kept("matrix room team"))
                desk = await clinic.enters(lee)
                await desk.say("help", "One line is one act")
            finally:
                serving.send_signal(signal.SIGTERM)
            said, _ = serving.communicate(timeout=20)
            assert serving.returncode == 0
            assert town.url in said and "Stop it with Ctrl-C" in said and "Ready" in said
        out, err = coachbot(town, "doctor").communicate(timeout=30)
        assert "ok   login" in out and "FIX " in out and "accept the invitation" in out, err
