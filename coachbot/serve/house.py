"""Whose room is which, and who may hear what is said there; it makes the rooms and says nothing in them."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from coachbot.channels.matrix.answers import MatrixError, Refused, steadily
from coachbot.channels.matrix.courier import Courier
from coachbot.channels.matrix.succession import Unfit
from coachbot.core.effects import CLINICIANS, TEAM
from coachbot.journal import Journal, Message
from coachbot.serve.config import Config
from coachbot.serve.people import People

COMMON = (CLINICIANS, TEAM)
NOWHERE = "nowhere"
"""Kept in place of a replacement that was not named."""
INVITED_WITHIN = 60.0  # seconds until a sync must have shown an invitation, also from a slow homeserver


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
    clock: Callable[[], datetime]

    def get(self, key: str) -> str | None:
        """The room kept for a Matrix id or a common room."""
        return self.journal.kept(f"matrix room {key}")

    def set(self, key: str, room: str) -> None:
        """Keep the room and whose it is; the talk moves over from an earlier one in the same moment."""
        before = self.get(key)
        kept = {f"matrix room {key}": room, f"matrix key {room}": key}
        if before and before != room:
            kept[f"matrix before {room}"] = f"{self.clock().isoformat()} {before}"
        self.journal.keep_all(kept, [f"matrix replaced {before}"])

    def key(self, room: str) -> str | None:
        """Whose the room is, or was, or is about to be; None for a room that never was of ours."""
        return self.journal.kept(f"matrix key {room}")

    def replace(self, key: str, room: str, by: str) -> None:
        """The room was replaced: keep by which one, until the talk has moved; words there belong to the same person."""
        kept = {f"matrix replaced {room}": by or NOWHERE}
        if by and self.key(by) is None:
            kept[f"matrix key {by}"] = key
        self.journal.keep_all(kept)

    def replacement(self, room: str) -> str | None:
        """The room that is to go on for this one."""
        return self.journal.kept(f"matrix replaced {room}")

    def before(self, room: str) -> tuple[datetime, str] | None:
        """When the talk moved into the room, and from where."""
        moment, _, old = (self.journal.kept(f"matrix before {room}") or "").partition(" ")
        return (datetime.fromisoformat(moment), old) if old else None

    def flee(self, room: str) -> None:
        """Somebody is in the room who may not be: kept until the person was told, in a fresh one, why."""
        self.journal.keep(f"matrix fled {room}", self.clock().isoformat())

    def escaped(self, room: str) -> bool:
        """Whether the talk moved into the room to be alone, and the person was not told yet."""
        move = self.before(room)
        return move is not None and self.journal.kept(f"matrix fled {move[1]}") is not None

    def settle(self, room: str) -> None:
        """The person knows why the talk goes on in this room."""
        if move := self.before(room):
            self.journal.forget([f"matrix fled {move[1]}"])

    def rooms(self, key: str) -> list[str]:
        """Every room that is or was of the key."""
        return [name.split(" ", 2)[2] for name, whose in self.journal.all_kept("matrix key ").items() if whose == key]


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
        if key in COMMON:
            return await rooms.common(key, self._title(key), self._invited(key))
        return await rooms.direct(key, self._title(key))

    async def afresh(self, key: str) -> str:
        """A new room in place of the one of the key. Raises Refused or Later."""
        return await self.courier.rooms.fresh(key, self._title(key), self._invited(key), direct=key not in COMMON)

    async def safe(self, key: str, room: str) -> None:
        """See that a room of others can be used as one of ours, and invite who is missing. Raises Unfit."""
        try:
            await self.alone(key, room)
            await self.courier.rooms.invite(room, self._invited(key))
        except Overheard:
            raise Unfit("strangers") from None
        except Refused:
            raise Unfit("no_power") from None

    def _title(self, key: str) -> str:
        return {CLINICIANS: self.config.clinicians_room, TEAM: self.config.team_room}.get(key, self.config.name)

    def _invited(self, key: str) -> tuple[str, ...]:
        if key == CLINICIANS:
            return self.config.clinicians
        if key == TEAM:
            team = {*self.config.clinicians, *self.config.staff, *self._owner(), *self.people.sharing()}
            return tuple(sorted(team))
        return (key,)

    async def room(self, key: str) -> str:
        """The room of the key as it is kept, made when there is none yet."""
        return self.kept.get(key) or await self.furnish(key)

    def whose(self, room: str) -> str | None:
        """The key of a room of ours as it stands now; None for any other."""
        key = self.kept.key(room)
        return key if key and self.kept.get(key) == room else None

    def common(self) -> tuple[str, ...]:
        """The rooms of several people; a team room only where the settings name one."""
        return COMMON if self.config.team_room else (CLINICIANS,)

    def all(self) -> list[str]:
        """Every room that there should be."""
        direct = [*self.config.clinicians, *self._owner()]
        athletes = [person.address for person in self.people.athletes() if person.address]
        return [*direct, *self.common(), *athletes]

    async def said(self, room: str, event: str) -> Message | None:
        """The message of the outbox that an event is, by the id under which it was sent; None for any other event.

        So it is known also when the coach was stopped after it had said the message and before it had noted that.
        """
        path = ("client", "v3", "rooms", room, "event", event)
        try:
            known = await steadily(lambda: self.courier.client.call("GET", *path), None)
        except Refused:
            return None
        id = str(known.get("unsigned", {}).get("transaction_id"))
        return next((each for each in self.kept.journal.messages(id.rsplit("-", 2)[0]) if each.id == id), None)

    async def alone(self, key: str, room: str) -> frozenset[str]:
        """Who of those the room is for are in it, by the homeserver's word. Raises Overheard when anybody else is."""
        members = await self.courier.rooms.members(room) - {self.courier.user_id}
        strangers = members - self._may_hear(key)
        if strangers:
            raise Overheard(key, strangers)
        return members

    async def expected(self, key: str, room: str) -> None:
        """Wait for the sync that brings a person's invitation: what is said before cannot be read by them."""
        rooms = self.courier.client.rooms
        await self.courier.ear.rounds.bring(lambda: room in rooms and key in rooms[room].users, INVITED_WITHIN)

    def _may_hear(self, key: str) -> frozenset[str]:
        if key == CLINICIANS:
            return frozenset(self.config.clinicians)
        if key == TEAM:
            athletes = [person.address for person in self.people.athletes() if person.address]
            return frozenset({*self.config.clinicians, *self.config.staff, *self._owner(), *athletes})
        return frozenset({key})

    def _owner(self) -> tuple[str, ...]:
        return (self.config.owner,) if self.config.owner else ()
