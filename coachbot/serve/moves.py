"""Where a talk goes on when its room was replaced or cannot be used any more; it says nothing in any room."""

import asyncio
from collections import defaultdict
from collections.abc import Callable, Coroutine
from contextlib import suppress
from typing import Any

from coachbot.channels.matrix import succession
from coachbot.channels.matrix.answers import MatrixError
from coachbot.channels.matrix.succession import Unfit
from coachbot.serve.house import House

Told = Callable[[str, str, str], Coroutine[Any, Any, None]]
"""Tells the clinicians that the room of a key was replaced by one that cannot be used: key, old room, why."""


class Moves:
    """One move at a time for each room; whoever wants to speak there meanwhile waits for its end."""

    def __init__(self, house: House, told: Told) -> None:
        self._house = house
        self._told = told
        self._turn: defaultdict[str, asyncio.Lock] = defaultdict(asyncio.Lock)

    async def room(self, key: str) -> str:
        """The room of the key as it stands now: made when there is none yet, followed when it was replaced."""
        async with self._turn[key]:
            room = await self._house.room(key)
            while replacement := self._house.kept.replacement(room):
                room = await self._follow(key, room, replacement)
            return room

    async def mend(self, key: str) -> None:
        """See that the coach is in the room of the key, and everybody invited. Raises Refused or Later."""
        async with self._turn[key]:
            await self._house.furnish(key)

    async def escape(self, key: str, room: str) -> None:
        """A fresh room for the key in place of this one, unless the talk goes on in another one already."""
        async with self._turn[key]:
            if self._house.kept.get(key) == room:
                self._house.kept.flee(room)
                await self._house.afresh(key)

    async def _follow(self, key: str, old: str, new: str) -> str:
        """Go on in the replacement, or in a room of the coach's own making where that is not fit."""
        courier, house = self._house.courier, self._house
        try:
            await succession.enter(courier.client, old, new, courier.room_wait)
            await house.safe(key, new)
        except Unfit as unfit:
            await self._told(key, old, unfit.why)
            if house.whose(new) is None:
                house.kept.journal.forget([f"matrix key {new}"])
                with suppress(MatrixError):  # it may never have come in
                    await courier.rooms.leave(new)
            return await house.afresh(key)
        house.kept.set(key, new)
        await asyncio.sleep(succession.SETTLES)
        await house.furnish(key)  # who was asked in while the homeserver was still at work may have been forgotten
        return new
