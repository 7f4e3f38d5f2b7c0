"""Whose room is which, and who may hear what is said there; it makes the rooms and says nothing in them."""

import asyncio
from contextlib import suppress
from dataclasses import dataclass

from coachbot.channels.matrix.answers import MatrixError
from coachbot.channels.matrix.courier import Courier
from coachbot.core.effects import CLINICIANS, TEAM
from coachbot.journal import Journal
from coachbot.serve.config import Config
from coachbot.serve.people import People

COMMON = (CLINICIANS, TEAM)
INVITED_WITHIN = 10.0  # seconds until a sync must have shown an invitation


class Overheard(MatrixError):
    """Somebody is in the room who may not see what is said there; `who` are their Matrix ids."""

    def __init__(self, key: str, who: frozenset[str]) -> None:
        super().__init__(f"{', '.join(sorted(who))} may not hear what is said in the room of {key}.")
        self.key = key
        self.who = who


@dataclass(frozen=True)
class Kept:
    """Whose room is which, kept in the journal."""

    journal: Journal

    def get(self, key: str) -> str | None:
        """The room kept for a Matrix id or a common room."""
        return self.journal.kept(f"matrix room {key}")

    def set(self, key: str, room: str) -> None:
        """Keep the room, and whose it is."""
        self.journal.keep(f"matrix room {key}", room)
        self.journal.keep(f"matrix key {room}", key)


@dataclass(frozen=True)
class House:
    """All rooms of the coach; each has a key: the Matrix id of whoever it is for, or the name of a common room."""

    courier: Courier
    people: People
    config: Config
    kept: Kept

    async def furnish(self, key: str) -> str:
        """The room of the key, made and its people invited if need be. Raises NoSuchPerson, Refused or Later."""
        rooms = self.courier.rooms
        if key == CLINICIANS:
            return await rooms.common(key, self.config.clinicians_room, self.config.clinicians)
        if key == TEAM:
            team = {*self.config.clinicians, *self.config.staff, *self._owner(), *self.people.sharing()}
            return await rooms.common(key, self.config.team_room, sorted(team))
        return await rooms.direct(key, self.config.name)

    async def room(self, key: str) -> str:
        """The room of the key as it is kept, made when there is none yet."""
        return self.kept.get(key) or await self.furnish(key)

    def whose(self, room: str) -> str | None:
        """The key of a room of ours; None for any other."""
        key = self.kept.journal.kept(f"matrix key {room}")
        return key if key and self.kept.get(key) == room else None

    def common(self) -> tuple[str, ...]:
        """The rooms of several people; a team room only where the settings name one."""
        return COMMON if self.config.team_room else (CLINICIANS,)

    def all(self) -> list[str]:
        """Every room that there should be."""
        direct = [*self.config.clinicians, *self._owner()]
        athletes = [person.address for person in self.people.athletes() if person.address]
        return [*direct, *self.common(), *athletes]

    async def alone(self, key: str, room: str) -> frozenset[str]:
        """Who of those the room is for are in it, by the homeserver's word. Raises Overheard when anybody else is."""
        members = await self.courier.rooms.members(room) - {self.courier.user_id}
        strangers = members - self._may_hear(key)
        if strangers:
            raise Overheard(key, strangers)
        return members

    async def expected(self, key: str, room: str) -> None:
        """Wait for the sync that brings a person's invitation: what is said before cannot be read by them."""
        rooms, synced = self.courier.client.rooms, self.courier.ear.synced
        with suppress(TimeoutError):
            async with asyncio.timeout(INVITED_WITHIN), synced:
                await synced.wait_for(lambda: room in rooms and key in rooms[room].users)

    def _may_hear(self, key: str) -> frozenset[str]:
        if key == CLINICIANS:
            return frozenset(self.config.clinicians)
        if key == TEAM:
            athletes = [person.address for person in self.people.athletes() if person.address]
            return frozenset({*self.config.clinicians, *self.config.staff, *self._owner(), *athletes})
        return frozenset({key})

    def _owner(self) -> tuple[str, ...]:
        return (self.config.owner,) if self.config.owner else ()
