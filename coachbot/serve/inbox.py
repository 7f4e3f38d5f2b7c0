"""What arrives from the rooms, by who sent it: an athlete, a clinician, a stranger; it decides nothing."""

import asyncio
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from coachbot.channels.matrix.arrival import Arrival
from coachbot.coach import Coach
from coachbot.core.desk.board import board
from coachbot.core.effects import CLINICIANS, TEAM
from coachbot.core.speak import speak
from coachbot.journal import Person
from coachbot.serve.athlete import Athlete
from coachbot.serve.clinician import Clinician
from coachbot.serve.house import House
from coachbot.serve.outside import Outside
from coachbot.serve.post import Post

POSITION = "matrix position"
"""Where the journal keeps how far the homeserver was read."""


@dataclass
class Inbox:
    """Takes each arrival to the end before the next one, so that what is saved as read was also stored."""

    coach: Coach
    house: House
    post: Post
    clock: Callable[[], datetime]
    listening: asyncio.Event

    def __post_init__(self) -> None:
        self.athlete = Athlete(self.coach, self.house, self.post, self.clock)
        self.clinician = Clinician(self.coach, self.house, self.post, self.clock)
        self.outside = Outside(self.coach, self.house, self.post)

    async def position(self, position: str) -> None:
        """All before this position is stored."""
        if self.coach.journal.kept(POSITION) != position:
            self.coach.journal.keep(POSITION, position)
        self.listening.set()

    async def take(self, arrival: Arrival) -> None:
        """One thing that somebody did."""
        person = self.house.people.who(arrival.sender)
        key = self.house.whose(arrival.room)
        match arrival.kind:
            case "replaced":
                self._replaced(arrival, key)
            case "invited":
                self._invited(arrival, person)
            case "joined":
                await self._joined(arrival, person, key)
            case "left":
                await self._left(arrival, person, key)
            case _:
                await self._heard(arrival, person)
        self.post.wake()

    async def _heard(self, arrival: Arrival, person: Person | None) -> None:
        """What is said in a room that was ours, or is about to be, counts as well: it may be a sign of danger."""
        key = self.house.kept.key(arrival.room)
        if person is not None and key is not None:
            await self._said(arrival, person, key)
        elif self.outside.is_here(arrival.room):
            self.post.beside(self.outside.answer(arrival, person))

    async def _said(self, arrival: Arrival, person: Person, key: str) -> None:
        voice = self.house.courier.voice
        if self.house.whose(arrival.room):
            self.post.beside(voice.seen(arrival.room, arrival.event_id))
        if key == TEAM:
            return await self._in_team(arrival, person)
        if key != person.address and (key != CLINICIANS or person.role != "clinician"):
            return None  # somebody else's room
        if person.role == "athlete":
            if self.house.whose(arrival.room):
                self.post.beside(voice.typing(arrival.room, True))
            return await self.athlete.take(person, arrival)
        if key == CLINICIANS and not (self._called(arrival) or await self.clinician.alert(arrival)):
            return None  # colleagues talk to each other
        return await self.clinician.take(person, arrival, self._plain(arrival.text))

    # ---- the team's room ---------------------------------------------------------------------------------------

    async def _in_team(self, arrival: Arrival, person: Person) -> None:
        """The board to whoever asks; an athlete's word is answered in their own room and not here."""
        if arrival.kind != "text" or not self._called(arrival):
            return None
        line = self._plain(arrival.text)
        if person.role == "athlete" and not self.clinician.wants_board(line):
            return await self.athlete.said(person, arrival, line)
        states = [self.coach.case(case) for case in self.coach.cases()]
        text = speak(board(states, self.coach.book), self.coach.book.texts["en"])
        return await self.post.answer(TEAM, f"board-{arrival.event_id}", text)

    def _called(self, arrival: Arrival) -> bool:
        return self.house.courier.user_id in arrival.mentions

    def _plain(self, text: str) -> str:
        """The line without the coach's own name before it."""
        user = self.house.courier.user_id
        short = sorted((user[1:].split(":")[0], self.house.config.name), key=len, reverse=True)
        called = "|".join(map(re.escape, (user, user[1:], *short)))  # the longest first, else a part of it stays
        return re.sub(rf"\A\s*(?:{called}|@(?:{called}))(?:[\s:,.!]+|\Z)", "", text, flags=re.IGNORECASE)

    def _replaced(self, arrival: Arrival, key: str | None) -> None:
        """Kept before anything is done about it, so that a crash forgets no move."""
        if key is not None:
            self.house.kept.replace(key, arrival.room, arrival.text)
            self.post.follow()

    # ---- coming and going --------------------------------------------------------------------------------------

    def _invited(self, arrival: Arrival, person: Person | None) -> None:
        """Our rooms are of our own making; one that replaces one of ours is joined by the move."""
        if self.house.kept.key(arrival.room) is None:
            self.post.beside(self.outside.answer(arrival, person))

    async def _joined(self, arrival: Arrival, person: Person | None, key: str | None) -> None:
        if key is None:
            return None
        if person is None or key != person.address:
            return self.post.beside(self.post.look(key))
        if person.role == "athlete":
            return await self.athlete.came(person)
        return await self._greet(person, key)

    async def _greet(self, person: Person, key: str) -> None:
        """Once: a later room goes on where an earlier one ended."""
        greeted = f"matrix greeted {key}"
        if self.coach.journal.kept(greeted) is None:
            hello = self.post.text("matrix.hello_owner" if person.role == "owner" else "matrix.hello")
            await self.post.answer(key, f"hello-{person.id}", hello)
            self.coach.journal.keep(greeted, self.clock().isoformat())

    async def _left(self, arrival: Arrival, person: Person | None, key: str | None) -> None:
        """An athlete who left their room hears nothing any more: a clinician must know."""
        if person is not None and person.role == "athlete" and key == person.address:
            self.post.notice("matrix.left", f"{person.id} {arrival.event_id}", name=person.name)
