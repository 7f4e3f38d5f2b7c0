"""A message that is older than a homeserver's memory of its id is looked for before it is said again."""

import sqlite3
from datetime import timedelta
from pathlib import Path

import pytest

from coachbot.channels.matrix.voice import Voice
from coachbot.core.effects import CLINICIANS
from tests.matrix.clinic import Clinic, Talk, enrolled, people
from tests.matrix.homeserver import Homeserver
from tests.matrix.people import Town, bounded, until


async def said_after_a_day(folder: Path) -> tuple[int, int, int]:
    """An alert was said, but that was not noted, and the coach starts again a day later: how often it is said where."""
    server = Homeserver(folder / "synapse").start()
    try:
        town = Town(server.url, folder, "forgotten")
        async with people(town, "lee", "sam") as (lee, sam):
            clinic = Clinic(town, [lee])
            async with clinic.running():
                desk = await clinic.enters(lee)
                common = await clinic.enters(lee, CLINICIANS)
                talk = await enrolled(clinic, desk, sam, "Sam")
                await talk.say("felt a pop", "Please stop all training")
                for each in (desk, common):
                    await each.hears("felt a pop")
                await desk.tap("felt a pop", "✅")
                await talk.hears("has read the message about you")
            server.kill()
            forget(folder)
            server.start()
            clinic.clock.ahead += timedelta(hours=25)
            async with clinic.running():
                await until(lambda: unnoted(folder) == 0)
            for each in (talk, desk, common):
                await each.quiet()
            return times(talk, "Please stop all training"), times(desk, "felt a pop"), times(common, "felt a pop")
    finally:
        server.kill()


def forget(folder: Path) -> None:
    """What a day does: the homeserver drops its transaction ids; and the coach did not note what it said."""
    with sqlite3.connect(folder / "synapse" / "homeserver.db") as file:
        assert file.execute("delete from event_txn_id_device_id").rowcount > 0
    with sqlite3.connect(folder / "coach.sqlite") as file:
        which = "kind = 'alert' or text like '%Please stop all training%'"
        assert file.execute(f"update outbox set sent_at = null where {which}").rowcount == 2


def unnoted(folder: Path) -> int:
    with sqlite3.connect(folder / "coach.sqlite") as file:
        return int(file.execute("select count(*) from outbox where sent_at is null").fetchone()[0])


def times(talk: Talk, words: str) -> int:
    return sum(words in said for said in talk.person.heard(talk.room))


@bounded()
async def test_old_message_is_not_repeated(tmp_path: Path) -> None:
    assert await said_after_a_day(tmp_path) == (1, 1, 1)


@bounded()
async def test_old_message_is_repeated_without_rule(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async def nothing(*_: object) -> None:
        return None

    monkeypatch.setattr(Voice, "find", nothing)
    assert await said_after_a_day(tmp_path) == (2, 2, 2)
