"""A coach in miniature, to be killed by a test: it answers every message once, with a journal of its own.

Each arrival and the answer it causes are stored in one transaction; the answer is sent from there until the
homeserver has taken it. This is all that the channel asks of whoever uses it.
"""

import asyncio
import sqlite3
import sys
from pathlib import Path

from coachbot.channels.matrix.arrival import Arrival
from coachbot.channels.matrix.courier import Courier, opened

TABLES = """
create table if not exists inbox (id text primary key);
create table if not exists outbox (id integer primary key, room text, body text, sent integer default 0);
create table if not exists place (only_one integer primary key check (only_one = 1), position text);
"""


class Book:
    """No rooms of its own: it answers where it is spoken to."""

    def get(self, key: str) -> str | None:
        return None

    def set(self, key: str, room: str) -> None:
        raise AssertionError(f"no room was to be made for {key} ({room})")


class Echo:
    """The journal and the two callbacks."""

    def __init__(self, file: Path) -> None:
        self.store = sqlite3.connect(file, isolation_level=None)
        self.store.executescript(TABLES)
        self.work = asyncio.Event()

    def position(self) -> str | None:
        row = self.store.execute("select position from place").fetchone()
        return row[0] if row else None

    async def take(self, arrival: Arrival) -> None:
        self.store.execute("begin immediate")
        new = self.store.execute("insert or ignore into inbox values (?)", (arrival.id,)).rowcount
        if new and arrival.kind == "text":
            answer = (arrival.room, f"you said {arrival.text}")
            self.store.execute("insert into outbox (room, body) values (?, ?)", answer)
        self.store.execute("commit")
        self.work.set()

    async def save(self, position: str) -> None:
        self.store.execute("insert or replace into place values (1, ?)", (position,))

    async def pump(self, courier: Courier) -> None:
        while True:
            self.work.clear()  # before looking: what comes while this goes on is looked for again
            for number, room, body in self.store.execute(
                "select id, room, body from outbox where not sent order by id"
            ).fetchall():
                await courier.send(room, f"echo-{number}", body)
                self.store.execute("update outbox set sent = 1 where id = ?", (number,))
            await self.work.wait()


async def run(folder: Path) -> None:
    echo = Echo(folder / "journal.db")
    echo.work.set()
    async with opened(folder / "coach", Book()) as courier, asyncio.TaskGroup() as group:
        group.create_task(courier.listen(echo.position(), echo.take, echo.save))
        group.create_task(echo.pump(courier))


if __name__ == "__main__":
    asyncio.run(run(Path(sys.argv[1])))
