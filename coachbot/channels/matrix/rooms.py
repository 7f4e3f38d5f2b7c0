"""Which room is whose: makes encrypted rooms exactly once and asks who is in them; not what they are for."""

import hashlib
import hmac
from collections.abc import Iterable
from functools import partial
from typing import Any, Protocol

from coachbot.channels.hardening import Hardened
from coachbot.channels.matrix.answers import Refused, steadily

PATIENCE = 60.0  # seconds to wait for a homeserver
ALIAS_LENGTH = 32  # hex digits of the room's alias: nobody guesses 128 bits
STATE: list[dict[str, Any]] = [
    {"type": "m.room.encryption", "content": {"algorithm": "m.megolm.v1.aes-sha2"}},
    {"type": "m.room.history_visibility", "content": {"history_visibility": "invited"}},  # not from before
    {"type": "m.room.guest_access", "content": {"guest_access": "forbidden"}},
]
INVITE_LEVEL = 50  # nobody but the coach brings people in
HERE = frozenset({"join", "invite"})


class RoomBook(Protocol):
    """Where the coach keeps whose room is which; the key is a Matrix id or the name of a common room."""

    def get(self, key: str) -> str | None:
        """The room kept for the key."""

    def set(self, key: str, room: str) -> None:
        """Keep the room for the key, in place of any other."""


class NoSuchPerson(Refused):
    """The homeserver knows nobody by this id; inviting them would seem to succeed."""


class Rooms:
    """Rooms of the coach's own making. `secret` hides in the public alias whose room it is."""

    def __init__(self, client: Hardened, book: RoomBook, secret: str) -> None:
        self._client = client
        self._book = book
        self._secret = secret

    async def direct(self, person: str, title: str) -> str:
        """The encrypted room of the coach and this person alone, made and the person invited if need be.

        Raises `NoSuchPerson`, `Refused`, `LoginGone` or `Later`.
        """
        await steadily(lambda: self._look_up(person), PATIENCE)
        room = await self._room(person, title, (person,), direct=True)
        await steadily(lambda: self._mark_direct(person, room), PATIENCE)
        return room

    async def common(self, name: str, title: str, people: Iterable[str]) -> str:
        """The encrypted room with this name, made once, everybody named invited who is not there yet."""
        return await self._room(name, title, tuple(people), direct=False)

    async def fresh(self, key: str, title: str, people: Iterable[str], *, direct: bool) -> str:
        """A new encrypted room in place of the kept one, made once; everybody named is invited.

        Raises `Refused`, `LoginGone` or `Later`.
        """
        invited = tuple(people)
        room = await self._new(key, title, invited, direct=direct)
        await self.invite(room, invited)
        if direct:
            await steadily(lambda: self._mark_direct(key, room), PATIENCE)
        return room

    async def invite(self, room: str, people: Iterable[str]) -> None:
        """Invite whoever of them is not there yet. Raises `Refused` where the coach may not."""
        for person in people:
            await steadily(partial(self._invite, room, person), PATIENCE)

    async def members(self, room: str) -> frozenset[str]:
        """Who is in the room now, by the homeserver's own word: ask right before posting anything private."""
        path = ("client", "v3", "rooms", room, "joined_members")
        answer = await steadily(lambda: self._client.call("GET", *path), PATIENCE)
        return frozenset(answer["joined"])

    async def join(self, room: str) -> None:
        """Accept an invitation."""
        await steadily(lambda: self._client.call("POST", "client", "v3", "join", room, body={}), PATIENCE)

    async def leave(self, room: str) -> None:
        """Leave a room, or decline an invitation to it."""
        path = ("client", "v3", "rooms", room, "leave")
        await steadily(lambda: self._client.call("POST", *path, body={}), PATIENCE)

    async def _room(self, key: str, title: str, people: tuple[str, ...], *, direct: bool) -> str:
        room = self._book.get(key)
        if room is None or not await steadily(partial(self._am_in, room), PATIENCE):
            room = await self._new(key, title, people, direct=direct)
        await self.invite(room, people)
        return room

    async def _new(self, key: str, title: str, people: tuple[str, ...], *, direct: bool) -> str:
        """A room for the key, kept in place of an earlier one; its alias tells of which, so that it is made once."""
        before = self._book.get(key)
        seed = f"{key} after {before}" if before else key
        room = await steadily(lambda: self._make(seed, title, people, direct=direct), PATIENCE)
        self._book.set(key, room)
        return room

    async def _make(self, seed: str, title: str, people: tuple[str, ...], *, direct: bool) -> str:
        """Make the room; a second time, after a crash, the alias is taken and leads to the first."""
        body = {
            "room_alias_name": self._alias(seed),
            "name": title,
            "preset": "private_chat",
            "is_direct": direct,
            "invite": list(people),
            "power_level_content_override": {"invite": INVITE_LEVEL},
            "initial_state": [{"state_key": "", **event} for event in STATE],
        }
        try:
            return str((await self._client.call("POST", "client", "v3", "createRoom", body=body))["room_id"])
        except Refused as taken:
            if taken.code != "M_ROOM_IN_USE":
                raise
        room = await self._resolve(seed)
        if await self._am_in(room) and await self._state(room, "m.room.encryption"):
            return room
        await self._client.call("DELETE", "client", "v3", "directory", "room", self._full_alias(seed))
        return await self._make(seed, title, people, direct=direct)

    async def _resolve(self, seed: str) -> str:
        answer = await self._client.call("GET", "client", "v3", "directory", "room", self._full_alias(seed))
        return str(answer["room_id"])

    async def _am_in(self, room: str) -> bool:
        return room in (await self._client.call("GET", "client", "v3", "joined_rooms"))["joined_rooms"]

    async def _invite(self, room: str, person: str) -> None:
        if (await self._state(room, "m.room.member", person)).get("membership") not in HERE:
            await self._client.call("POST", "client", "v3", "rooms", room, "invite", body={"user_id": person})

    async def _state(self, room: str, kind: str, of: str = "") -> dict[str, Any]:
        try:
            return await self._client.call("GET", "client", "v3", "rooms", room, "state", kind, of)
        except Refused as unknown:
            if unknown.code != "M_NOT_FOUND":
                raise
            return {}

    async def _look_up(self, person: str) -> None:
        try:
            await self._client.call("GET", "client", "v3", "profile", person)
        except Refused as unknown:
            if unknown.code != "M_FORBIDDEN":  # then the person's homeserver keeps profiles to itself
                raise NoSuchPerson(unknown.code, f"there is nobody called {person}") from None

    async def _mark_direct(self, person: str, room: str) -> None:
        """Write the account data by which clients show the room as a direct one."""
        path = ("client", "v3", "user", self._client.user_id, "account_data", "m.direct")
        try:
            known = await self._client.call("GET", *path)
        except Refused:  # not there before the first direct room
            known = {}
        theirs = known.get(person, [])
        if room not in theirs:
            await self._client.call("PUT", *path, body={**known, person: [*theirs, room]})

    def _alias(self, seed: str) -> str:
        """A name only we can derive: a plain hash of an id would tell everybody who is in treatment."""
        digest = hmac.new(self._secret.encode(), seed.encode(), hashlib.sha256).hexdigest()
        return f"coach-{digest[:ALIAS_LENGTH]}"

    def _full_alias(self, seed: str) -> str:
        return f"#{self._alias(seed)}:{self._client.user_id.split(':', 1)[1]}"
