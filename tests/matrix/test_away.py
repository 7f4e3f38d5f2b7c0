"""Two hundred messages while the coach was away, a homeserver that dies, a login that ends: nothing is lost unsaid."""

import asyncio
import json
from pathlib import Path

import pytest

from coachbot.channels.matrix.answers import LoginGone
from coachbot.core.events import Heard
from coachbot.serve.run import serve
from tests.matrix.clinic import Clinic, people
from tests.matrix.homeserver import Homeserver
from tests.matrix.people import LONG, Town, bounded, until
from tests.matrix.scenes import FIRST_MORNING, PAIN, cast, clinic_day, taken_in

MESSAGES = 200


@bounded()
async def test_long_absence_loses_no_message(town: Town) -> None:
    async with cast(town) as (clinic, lee, sam):
        async with clinic.running():
            talk = (await taken_in(clinic, lee, sam)).talk
            await talk.quiet()
        sent = [f"message {number}" for number in range(MESSAGES)]
        for words in sent:
            await sam.say(talk.room, words)
        before = len(heard(clinic))
        async with clinic.running():
            await until(lambda: len(heard(clinic)) >= before + MESSAGES, 60.0)
        assert heard(clinic)[before:] == sent


def heard(clinic: Clinic) -> list[str]:
    journal = clinic.journal()
    try:
        return [event.text for _, event in journal.read("sam") if isinstance(event, Heard)]
    finally:
        journal.close()


@bounded()
async def test_day_survives_the_homeserver(tmp_path: Path) -> None:
    server = Homeserver(tmp_path / "synapse").start()
    try:
        town = Town(server.url, tmp_path, "restart")
        async with clinic_day(town) as scene:
            await scene.desk.say("approve Sam", "approved")
            server.kill()
            scene.clinic.clock.to(FIRST_MORNING, 8, 1)  # the question of the morning falls due meanwhile
            await until(lambda: scene.clinic.state("sam").prompts.get("morning"))
            server.start()
            await scene.talk.hears(PAIN)
            await scene.talk.say("2 no", "1. Two-leg slider")
    finally:
        server.kill()


@bounded()
async def test_lost_login_ends_with_a_sentence(town: Town) -> None:
    async with people(town, "lee") as (lee,):
        clinic = Clinic(town, [lee])
        await town.log_in()
        running = asyncio.create_task(serve(clinic.config(), clinic.clock, look=0.1))
        await clinic.enters(lee)
        token = json.loads((town.folder / "coach" / "login.json").read_text())["token"]
        headers = {"Authorization": f"Bearer {token}"}
        assert (await lee.client.send("POST", "/_matrix/client/v3/logout", "{}", headers)).status == 200
        with pytest.raises(LoginGone, match="Log the coach in again"):
            await asyncio.wait_for(running, LONG)
