"""A clinic for tests: the coach as it runs from its settings, a clock that can be set, and people who talk with it."""

import asyncio
import json
import os
import subprocess
import sys
from collections.abc import AsyncIterator, Iterator
from contextlib import AsyncExitStack, asynccontextmanager, contextmanager, suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import coachbot
from coachbot.coach import Coach
from coachbot.core.state import State
from coachbot.journal import Journal
from coachbot.serve.config import Config, load
from coachbot.serve.run import serve
from tests.matrix.people import Person, Town, until

ZONE = "Europe/Berlin"
EVENING = 18
"""The hour at which every test begins, whenever it runs: no morning's question or news comes by itself."""
PATIENT = 60.0
"""Seconds that the coach waits for an invitation: a machine that does much else may take its time."""
INTAKE = (
    "left", "yes", "today, about 2 hours ago", "sprinting", "normal walking", "no", "no", "27", "first time", "hockey",
    "sliders, a bench and weights", "every day", "none", "none", "Berlin", "8.4 m/s", "yes",
)  # fmt: skip
"""What an athlete with an ordinary strain answers."""


class Clock:
    """The time of a test, which can be moved ahead; it begins on the evening of today, at whatever hour that is."""

    def __init__(self, folder: Path) -> None:
        self._file = folder / "ahead"  # seconds; in a file, so that a coach in a process of its own has the same time
        self._today = datetime.now(ZoneInfo(ZONE))
        if not self._file.exists():
            self.ahead = self._on(0, EVENING) - datetime.now(UTC)

    @property
    def ahead(self) -> timedelta:
        """How far it is from the time of the machine."""
        return timedelta(seconds=float(self._file.read_text()))

    @ahead.setter
    def ahead(self, ahead: timedelta) -> None:
        fresh = self._file.with_suffix(".new")
        fresh.write_text(str(ahead.total_seconds()))
        fresh.replace(self._file)

    def __call__(self) -> datetime:
        return datetime.now(UTC) + self.ahead

    def to(self, day: int, hour: int, minute: int = 0) -> None:
        """Move to this hour, so many days after today; never back."""
        then = self._on(day, hour, minute)
        assert then >= self(), "time does not go back"
        self.ahead = then - datetime.now(UTC)

    def _on(self, day: int, hour: int, minute: int = 0) -> datetime:
        local = self._today + timedelta(days=day)
        return local.replace(hour=hour, minute=minute, second=0, microsecond=0).astimezone(UTC)


class Clinic:
    """One coach with its settings, and what its file says."""

    def __init__(self, town: Town, clinicians: list[Person], **more: Any) -> None:
        self.town = town
        self.clock = Clock(town.folder)
        self.settings: dict[str, Any] = {
            "homeserver": town.url,
            "user": f"@coach-{town.tag}:test",
            "login": "coach",
            "clinicians": [person.user_id for person in clinicians],
            "zone": ZONE,
            **more,
        }

    @property
    def coach_id(self) -> str:
        return str(self.settings["user"])

    @property
    def file(self) -> Path:
        return self.town.folder / "coach.toml"

    def config(self) -> Config:
        self.file.write_text("".join(f"{key} = {json.dumps(value)}\n" for key, value in self.settings.items()))
        return load(self.file)

    @asynccontextmanager
    async def running(self, room_wait: float = PATIENT) -> AsyncIterator[None]:
        """The coach runs until the end of the block; what ends it ends the test."""
        if not (self.town.folder / "coach" / "login.json").exists():
            await self.town.log_in()
        task = asyncio.create_task(serve(self.config(), self.clock, look=0.1, grace=2.0, room_wait=room_wait))
        try:
            yield
            assert not task.done(), task.exception() if not task.cancelled() else "it was stopped"
        finally:
            task.cancel()
            with suppress(asyncio.CancelledError):
                await task

    def nursery(self) -> "subprocess.Popen[str]":
        """A process that starts a coach for each line it gets (see `alone`), and answers with its process id."""
        self.config()
        program = Path(__file__).with_name("alone.py")
        environment = {**os.environ, "PYTHONPATH": str(program.parents[2])}
        command = [sys.executable, str(program), str(self.file)]
        return subprocess.Popen(command, env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)

    def journal(self) -> Journal:
        return Journal.open(self.town.folder / "coach.sqlite")

    def kept(self, key: str) -> str | None:
        journal = self.journal()
        try:
            return journal.kept(key)
        finally:
            journal.close()

    async def room(self, key: str) -> str:
        """The room of a person or a common one, once it is there."""
        return str(await until(lambda: self.kept(f"matrix room {key}")))

    async def enters(self, person: Person, key: str = "") -> "Talk":
        """The person accepts the invitation to their own room, or to a common one."""
        room = await self.room(key or person.user_id)
        await person.joins(room)
        return Talk(person, room)

    @contextmanager
    def opened(self) -> Iterator[Coach]:
        """The coach's file, opened beside the coach that runs."""
        coach = coachbot.open(self.town.folder / "coach.sqlite")
        try:
            yield coach
        finally:
            coach.journal.close()

    def state(self, case: str) -> State:
        with self.opened() as coach:
            return coach.case(case)

    def answered(self, person: Person, answers: tuple[str, ...]) -> None:
        """The athlete has answered so, at once and as if each question had been said: it takes a tenth of the time."""
        with self.opened() as coach, coach.together():
            known = coach.journal.person_at(person.user_id)
            assert known is not None
            for number, answer in enumerate(answers):
                coach.hear(known.id, answer, self.clock(), f"$answer-{known.id}-{number}")
            coach.sent(coach.unsent([known.id]), self.clock())


class Talk:
    """A person in a room with the coach, and how far they have read."""

    def __init__(self, person: Person, room: str) -> None:
        self.person = person
        self.room = room
        self.read = 0

    def news(self) -> list[str]:
        return self.person.heard(self.room)[self.read :]

    async def hears(self, words: str) -> str:
        """Read until somebody says something with these words; the message, after which reading goes on."""

        def found() -> str | None:
            return next((said for said in self.news() if words in said), None)

        try:
            said: str = await self.person.sees(found)
        except TimeoutError:
            raise AssertionError(f"not heard: {words!r}. Heard were: {self.news()}") from None
        self.read += self.news().index(said) + 1
        return said

    async def say(self, words: str, hears: str, **more: Any) -> str:
        """Say something, and read until the answer with these words; the answer."""
        self.read = len(self.person.heard(self.room))
        await self.person.say(self.room, words, **more)
        return await self.hears(hears)

    def event(self, words: str) -> str:
        """The id of the last message with these words."""
        said = [e for e in self.person.messages(self.room) if words in e.source["content"].get("body", "")]
        return str(said[-1].event_id)

    async def tap(self, words: str, key: str) -> None:
        """React to the last message with these words."""
        relation = {"rel_type": "m.annotation", "event_id": self.event(words), "key": key}
        await self.person.post(self.room, "m.reaction", {"m.relates_to": relation})

    async def reply(self, to: str, words: str) -> str:
        """Answer the last message with the words `to`; the id of the answer."""
        return await self.person.say(
            self.room, words, **{"m.relates_to": {"m.in_reply_to": {"event_id": self.event(to)}}}
        )

    async def edit(self, event: str, words: str, hears: str) -> str:
        """Change an earlier message, and read until the answer with these words; the answer."""
        new = {"msgtype": "m.text", "body": words}
        relation = {"rel_type": "m.replace", "event_id": event}
        return await self.say(f"* {words}", hears, **{"m.new_content": new, "m.relates_to": relation})

    async def quiet(self, rounds: int = 3) -> list[str]:
        """Read on for a while; what came meanwhile."""
        for _ in range(rounds):
            await self.person.sync(200)
        return self.news()


async def told(talk: Talk, answers: tuple[str, ...]) -> None:
    """Answer one question after the other."""
    for answer in answers:
        count = len(talk.person.heard(talk.room))
        await talk.person.say(talk.room, answer)
        await talk.person.sees(lambda count=count: len(talk.person.heard(talk.room)) > count)


async def enrolled(clinic: Clinic, desk: Talk, person: Person, name: str, *, spoken: bool = False) -> Talk:
    """Enrol an athlete, who comes, agrees and answers the intake: every question in the room, or only the last."""
    await desk.say(f"enrol {person.user_id} {name}", "is enrolled")
    talk = await clinic.enters(person)
    await talk.hears("May I ask you some questions")
    await talk.say("yes", "Which leg")
    if not spoken:
        clinic.answered(person, INTAKE[:-1])
    await told(talk, INTAKE if spoken else INTAKE[-1:])
    return talk


@asynccontextmanager
async def people(town: Town, *names: str) -> AsyncIterator[list[Person]]:
    """Somebody for each name."""
    async with AsyncExitStack() as stack:
        yield [await stack.enter_async_context(town.person(name)) for name in names]
