"""Killed the hard way again and again, the coach answers every message once, readable and in order."""

import asyncio
import os
import random
import subprocess
import sys
from contextlib import suppress
from pathlib import Path

from tests.matrix.echo import Echo
from tests.matrix.people import Person, Town, bounded

ECHO = Path(__file__).with_name("echo.py")
KILLS = 8
MESSAGES = 15  # from each of two people


async def killed_often(folder: Path, chance: random.Random) -> None:
    """Start it and kill it at a random moment, each time; then leave it alone for ever."""
    command = [sys.executable, str(ECHO), str(folder)]
    environment = {**os.environ, "PYTHONPATH": str(ECHO.parents[2])}
    for kills in range(KILLS + 1):
        with subprocess.Popen(command, env=environment) as process:
            try:
                await asyncio.sleep(chance.uniform(0.2, 2.0) if kills < KILLS else 3600)
                assert process.poll() is None, "it ended by itself"
            finally:
                process.kill()


async def echo_starts_at(folder: Path, position: str) -> None:
    echo = Echo(folder / "journal.db")
    await echo.save(position)
    echo.store.close()


async def speaks(person: Person, room: str, chance: random.Random) -> None:
    for number in range(MESSAGES):
        await person.say(room, f"message {number}")
        await person.sync()
        await asyncio.sleep(chance.uniform(0.0, 1.0))


@bounded()
async def test_every_message_is_answered_once(town: Town) -> None:
    chance = random.Random(7)
    async with town.person("anna") as anna, town.person("ben") as ben:
        async with town.coach() as coach:
            rooms = {person: await coach.room_for(person) for person in (anna, ben)}
        await echo_starts_at(town.folder, coach.position or "")
        killer = asyncio.create_task(killed_often(town.folder, chance))
        await asyncio.gather(*(speaks(person, room, chance) for person, room in rooms.items()))
        expected = [f"you said message {number}" for number in range(MESSAGES)]
        for person, room in rooms.items():
            await person.sees(lambda p=person, r=room: expected[-1] in p.heard(r), 90.0)
        await asyncio.sleep(0.5)
        for person, room in rooms.items():
            await person.sync()
            assert person.heard(room) == expected
        killer.cancel()
        with suppress(asyncio.CancelledError):
            await killer
