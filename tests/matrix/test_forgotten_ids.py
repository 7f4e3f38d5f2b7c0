"""A message that is older than a homeserver's memory of its id is looked for before it is said again."""

import sqlite3
from datetime import timedelta
from pathlib import Path

import pytest

from coachbot.channels.matrix.voice import Voice
from tests.matrix.clinic import Clinic, Talk
from tests.matrix.homeserver import Homeserver
from tests.matrix.people import Town, bounded, until
from tests.matrix.scenes import POP, cast, red_flag, taken_in

STOP = "Please stop all training"


def forgotten(folder: Path) -> None:
    """The homeserver has dropped its transaction ids, as it does after a day."""
    with sqlite3.connect(folder / "synapse" / "homeserver.db") as file:
        assert file.execute("delete from event_txn_id_device_id").rowcount > 0


def unnoted(folder: Path) -> int:
    with sqlite3.connect(folder / "coach.sqlite") as file:
        return int(file.execute("select count(*) from outbox where sent_at is null").fetchone()[0])


async def started_again(clinic: Clinic, talk: Talk, desk: Talk, common: Talk) -> tuple[int, int, int]:
    """An alert was said, but that was not noted, and the coach starts again: how often it is said where."""
    with sqlite3.connect(clinic.town.folder / "coach.sqlite") as file:
        which = f"kind = 'alert' or text like '%{STOP}%'"
        assert file.execute(f"update outbox set sent_at = null where {which}").rowcount == 2
    async with clinic.running():
        await until(lambda: unnoted(clinic.town.folder) == 0)
    for each in (talk, desk, common):
        await each.quiet()
    return times(talk, STOP), times(desk, POP), times(common, POP)


def times(talk: Talk, words: str) -> int:
    return sum(words in said for said in talk.person.heard(talk.room))


@bounded()
async def test_old_message_is_repeated_only_without_rule(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async def nothing(*_: object) -> None:
        return None

    server = Homeserver(tmp_path / "synapse").start()
    try:
        async with cast(Town(server.url, tmp_path, "forgotten")) as (clinic, lee, sam):
            async with clinic.running():
                scene = await taken_in(clinic, lee, sam)
                common = await scene.common()
                await red_flag(scene)
                await common.hears(POP)
                await scene.desk.tap(POP, "✅")
                await scene.talk.hears("has read the message about you")
            server.kill()
            forgotten(tmp_path)
            server.start()
            clinic.clock.ahead += timedelta(hours=25)
            assert await started_again(clinic, scene.talk, scene.desk, common) == (1, 1, 1)
            monkeypatch.setattr(Voice, "find", nothing)
            assert await started_again(clinic, scene.talk, scene.desk, common) == (2, 2, 2)
    finally:
        server.kill()
