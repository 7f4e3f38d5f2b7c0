"""The doctor looks at every room and every extra; whatever is not well comes with what to do."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from coachbot.core.effects import TEAM
from coachbot.serve.doctor import examine
from tests.matrix.clinic import Clinic, enrolled, people
from tests.matrix.people import Town, bounded
from tests.matrix.test_upgraded_rooms import as_coach

SETTINGS = """
homeserver = "http://127.0.0.1:9"
user = "@coach:clinic.example"
clinicians = ["@lee:clinic.example"]
zone = "Europe/Berlin"
"""


@bounded()
async def test_team_and_owner_are_looked_at(town: Town) -> None:
    async with people(town, "lee", "finn", "olga", "sam", "mallory") as (lee, finn, olga, sam, mallory):
        clinic = Clinic(town, [lee], staff=[finn.user_id], owner=olga.user_id, team_room="Team")
        async with clinic.running():
            desk = await clinic.enters(lee)
            await enrolled(clinic, desk, sam, "Sam")
            for person in (lee, finn, olga, sam):
                team = await clinic.enters(person, TEAM)
            found = {each.what: each for each in await examine(clinic.config(), clinic.clock)}
            assert found["room of team"].well
            for person in (lee, finn, olga, sam):
                assert person.user_id in found["room of team"].seen
            assert found[f"room of {olga.user_id}"].well
            await olga.client.room_leave(await clinic.room(olga.user_id))
            await as_coach(clinic, "POST", f"rooms/{team.room}/invite", {"user_id": mallory.user_id})
            await mallory.joins(team.room)
            found = {each.what: each for each in await examine(clinic.config(), clinic.clock)}
            assert "accept the invitation" in found[f"room of {olga.user_id}"].todo
            assert mallory.user_id in found["room of team"].seen and "Put them out" in found["room of team"].todo


@pytest.mark.parametrize(("module", "extra"), [("nio", "matrix"), ("matplotlib", "report")])
def test_lacking_extra_is_said(tmp_path: Path, module: str, extra: str) -> None:
    """Also where the settings have another name, and where the packages of Matrix themselves are lacking."""
    (tmp_path / "own.toml").write_text(SETTINGS)
    lacking = tmp_path / "lacking" / module
    lacking.mkdir(parents=True)
    (lacking / "__init__.py").write_text(f"raise ModuleNotFoundError('No module named {module}', name='{module}')")
    paths = os.pathsep.join((str(lacking.parent), str(Path(__file__).parents[2])))
    command = [sys.executable, "-m", "coachbot", "doctor", "--config", "own.toml"]
    environment = {**os.environ, "PYTHONPATH": paths}
    ended = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, text=True, check=False)
    assert ended.returncode == 1, ended.stderr
    (line,) = [each for each in ended.stdout.splitlines() if f"extra {extra}" in each]
    assert line.startswith("FIX ") and f"{module} cannot be loaded, so" in line
    assert f"Run: pip install 'coachbot[{extra}]'" in line
    assert "ok   settings" in ended.stdout and "Traceback" not in ended.stderr
