"""Rooms that are not of the coach's making: one polite sentence there, then it leaves; it reads and tells nothing."""

import asyncio
from collections import defaultdict
from dataclasses import dataclass, field

from coachbot.channels.matrix.answers import MatrixError
from coachbot.channels.matrix.arrival import Arrival
from coachbot.channels.matrix.voice import NotEncrypted
from coachbot.coach import Coach
from coachbot.journal import Person
from coachbot.serve.house import House
from coachbot.serve.post import Post


@dataclass(frozen=True)
class Outside:
    """A stranger is told once, ever; whoever is known is told once a room, and met in their own."""

    coach: Coach
    house: House
    post: Post
    _turn: defaultdict[str, asyncio.Lock] = field(default_factory=lambda: defaultdict(asyncio.Lock))

    def is_here(self, room: str) -> bool:
        """Whether somebody brought the coach into an open room of theirs; those of its own are encrypted."""
        rooms = self.house.courier.client.rooms
        return self.house.kept.key(room) is None and room in rooms and not rooms[room].encrypted

    async def answer(self, arrival: Arrival, person: Person | None) -> None:
        """To an invitation, or to words in such a room: one sentence without anything of anybody in it."""
        async with self._turn[arrival.sender]:
            told = f"matrix stranger {arrival.sender}" if person is None else f"matrix elsewhere {arrival.room}"
            if self.coach.journal.kept(told) is None:
                await self._say(arrival.room, self._words(person))
                self.coach.journal.keep(told, arrival.room)
            await self.house.courier.rooms.leave(arrival.room)
        if person is not None and person.role == "athlete" and person.address:
            await self.post.moves.mend(person.address)  # whoever has left their own room is asked back

    async def _say(self, room: str, text: str) -> None:
        courier = self.house.courier
        try:
            await courier.rooms.join(room)
            try:
                await courier.send(room, f"outside-{room}", text)
            except NotEncrypted:
                await courier.voice.plainly(room, f"outside-{room}", text)
        except MatrixError:
            await courier.rooms.leave(room)
            raise

    def _words(self, person: Person | None) -> str:
        if person is None:
            return self.post.text("matrix.stranger_told")
        return self.post.text("matrix.elsewhere_athlete" if person.role == "athlete" else "matrix.elsewhere")
