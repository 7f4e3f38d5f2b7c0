"""Killed between storing a clinician's act and showing its words, the coach shows them after all, and once."""

import asyncio
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.matrix.clinic import Clinic, Talk, enrolled, people
from tests.matrix.people import Person, Town, bounded, until

DYING = Path(__file__).with_name("dying.py")


def started(clinic: Clinic, when: str, words: str) -> "subprocess.Popen[bytes]":
    clinic.config()
    command = [sys.executable, str(DYING), str(clinic.file), when, words]
    return subprocess.Popen(command, env={**os.environ, "PYTHONPATH": str(DYING.parents[2])})


async def shown(town: Town, when: str, prepare: str, line: str, words: str) -> list[str]:
    """All that the clinician reads, when the answer to a line killed the coach."""
    async with people(town, "lee", "sam") as (lee, sam):
        clinic = Clinic(town, [lee])
        async with clinic.running():
            desk = await clinic.enters(lee)
            await enrolled(clinic, desk, sam, "Sam")
            if prepare:
                await desk.say(prepare, "Write yes")
            await desk.quiet()
        with started(clinic, when, words) as first:
            await said(desk, line)
            assert await asyncio.to_thread(first.wait) == -signal.SIGKILL
        with started(clinic, when, words) as second:
            try:
                await desk.hears(words)
                await lee.say(desk.room, "help")
                await desk.hears("One line is one act")
                await until(lambda: not waiting(clinic, lee))
            finally:
                second.kill()
        return lee.heard(desk.room)


async def said(desk: Talk, line: str) -> None:
    desk.read = len(desk.person.heard(desk.room))
    await desk.person.say(desk.room, line)


def waiting(clinic: Clinic, lee: Person) -> bool:
    journal = clinic.journal()
    try:
        return bool(journal.unsent([person.id for person in journal.people()]))
    finally:
        journal.close()


@bounded()
@pytest.mark.parametrize("when", ["before", "after"])
@pytest.mark.parametrize(
    ("prepare", "line", "words"),
    [
        ("", "hours 8 to 18 mon tue", "08:00"),
        ("erase Sam", "no", "Left as it was"),
        ("erase Sam", "yes", "Erased"),
    ],
)
async def test_reply_survives_a_kill(town: Town, when: str, prepare: str, line: str, words: str) -> None:
    heard = await shown(town, when, prepare, line, words)
    assert sum(words in each for each in heard) == 1
