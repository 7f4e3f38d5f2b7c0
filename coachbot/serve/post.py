"""Brings what the coach says to its rooms: each message once, in order for each person; it writes none of it."""

import asyncio
import hashlib
import json
import logging
from collections.abc import Callable, Coroutine, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from coachbot.channels.matrix.answers import Later, Refused, steadily
from coachbot.channels.matrix.rounds import NotYet
from coachbot.channels.matrix.voice import NotEncrypted, NotHere, html
from coachbot.coach import Coach
from coachbot.core.effects import CLINICIANS, TEAM, Word
from coachbot.core.speak import say, speak
from coachbot.core.state import State
from coachbot.journal import Message, Person
from coachbot.pages import weeks
from coachbot.serve import taps
from coachbot.serve.house import COMMON, House, Overheard
from coachbot.serve.moves import Moves
from coachbot.serve.owed import Owed, owed

log = logging.getLogger(__name__)

AGAIN = 30.0  # seconds until a message that reached nobody is tried again
FORGOTTEN = timedelta(hours=20)  # a homeserver forgets transaction ids after a day (Synapse): look before that
MOST = 40_000  # bytes of body and html of one event: a whole event may have 65,536, and encrypting adds a third
PIECE = 1_500  # characters of a line that is broken because it alone is too long: JSON takes up to 12 bytes for one
OUT_OF_REACH = (NotHere, NotEncrypted, Refused)


@dataclass(frozen=True)
class Place:
    """A room, and who of those it is for are in it."""

    room: str
    there: frozenset[str]


@dataclass
class Post:
    """One task for each person who is waited for; rooms do not wait for each other."""

    coach: Coach
    house: House
    clock: Callable[[], datetime]
    group: asyncio.TaskGroup
    taps_on: bool
    _lanes: dict[str, asyncio.Task[None]] = field(default_factory=dict)
    _warned: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.moves = Moves(self.house, self._moved)

    def wake(self) -> None:
        """There may be something new to say."""
        recipients = [person.id for person in self.coach.journal.people()]
        for to in {message.to for message in self.coach.unsent([*recipients, *COMMON])}:
            if to not in self._lanes or self._lanes[to].done():
                self._lanes[to] = self.group.create_task(self._lane(to))

    def beside(self, doing: Coroutine[Any, Any, object]) -> None:
        """Let it run beside everything else; what goes wrong with one person's room ends nothing."""
        self.group.create_task(self._gladly(doing))

    async def _gladly(self, doing: Coroutine[Any, Any, object]) -> None:
        try:
            await doing
        except (Later, *OUT_OF_REACH, Overheard) as trouble:
            log.warning("%s", trouble)

    def owe(self, one: Owed) -> None:
        """Say it beside everything else, and if the coach is stopped before that, when it runs again."""
        one.keep(self.coach.journal)
        self.beside(self._pay(one))

    def resume(self) -> None:
        """Say what was still owed when the coach was stopped."""
        for one in owed(self.coach.journal):
            self.beside(self._pay(one))

    async def _pay(self, one: Owed) -> None:
        if one.case in self.coach.cases():
            state = self.coach.case(one.case)
            await steadily(lambda: self.picture(one.key, one.txn_id, state, one.language), None)
        elif one.text:
            await steadily(lambda: self.speak(one.key, one.txn_id, one.text), None)
        self.coach.journal.forget([one.name])

    def text(self, key: str, language: str = "en", **values: object) -> str:
        """A text of the handbook."""
        return say(Word(key, values), self.coach.book.texts[language])

    def follow(self) -> None:
        """Move every talk whose room was replaced."""
        for key in self.house.all():
            if self.house.kept.replacement(self.house.kept.get(key) or ""):
                self.beside(self.moves.room(key))

    # ---- the outbox --------------------------------------------------------------------------------------------

    async def _lane(self, to: str) -> None:
        """Say what waits for one recipient, oldest first; what cannot be said now is tried again later."""
        while waiting := self.coach.unsent([to]):
            for message in waiting:
                if not await self._delivered(message):
                    await asyncio.sleep(AGAIN)
                    break
                self.coach.sent([message], self.clock())

    async def _delivered(self, message: Message) -> bool:
        try:
            return await self._deliver(message)
        except Later as trouble:
            log.warning("A message for %s waits: %s", message.to, trouble)
            return False
        except OUT_OF_REACH as trouble:
            log.warning("A message for %s waits: %s", message.to, trouble)
            self.notice("matrix.unreachable", message.to, who=message.to)
            return False

    async def _deliver(self, message: Message) -> bool:
        """Whether it was said to whoever it is for; an alert is shown to all clinicians besides."""
        keys = self._rooms(message)
        if not keys:
            return True  # a person who was erased, or a room that nobody wants
        person = self.house.people.addressee(message.to)
        if message.kind == "alert" and person:
            await self._shown(message, person)
        done = [await self._said(key, message, person) for key in keys]
        return all(done) or (bool(done) and message.to == TEAM)

    def _rooms(self, message: Message) -> list[str]:
        if message.to == TEAM:
            return [TEAM] if self.house.config.team_room else []
        if message.to == CLINICIANS:
            return [CLINICIANS]
        person = self.house.people.addressee(message.to)
        return [person.address] if person and person.address else []

    async def _shown(self, message: Message, person: Person) -> None:
        """Put an alert into the clinicians' room; its own way to the one it is for does not wait for that."""
        try:
            event = await self.speak(CLINICIANS, message.id, message.text, person.address or "", message.made_at)
            await self._alert(CLINICIANS, message, event)
        except (Overheard, *OUT_OF_REACH) as trouble:
            log.warning("An alert did not reach the clinicians' room: %s", trouble)

    async def _said(self, key: str, message: Message, person: Person | None) -> bool:
        mention = key if message.kind == "alert" else ""
        try:
            event = await self.speak(key, message.id, message.text, mention, since=message.made_at)
        except Overheard:
            return key == TEAM or (key == CLINICIANS and await self._each(message))
        if message.alert:
            await self._alert(key, message, event)
        elif message.ask and person:
            await self._asked(key, message, person, event)
        return True

    async def _each(self, message: Message) -> bool:
        """To every clinician alone, while their common room is not safe."""
        for person in self.house.people.clinicians():
            if person.address:
                await self.speak(person.address, message.id, message.text, since=message.made_at)
        return True

    async def _alert(self, key: str, message: Message, event: str) -> None:
        self.coach.journal.keep(f"matrix alert {event}", f"{message.case} {message.alert}")
        await self._react(key, f"{message.id}-take", event, taps.TAKEN)

    async def _asked(self, key: str, message: Message, person: Person, event: str) -> None:
        """Remember which event asks the open question, so that a tap on an old one says nothing."""
        if not self.taps_on or not self.asks(message):
            return
        state = self.coach.case(message.case)
        self.coach.journal.keep(f"matrix asked {person.id}", f"{event} {taps.moment(state)}")
        for number, tap in enumerate(taps.keys(state, self.coach.book)):
            await self._react(key, f"{message.id}-tap{number}", event, tap)

    def asks(self, message: Message) -> bool:
        """Whether a message asks the question that was asked last, whatever else the case has seen since."""
        asked = [each.id for each in self.coach.journal.messages(message.case, message.to) if each.ask]
        return asked[-1:] == [message.id]

    async def _react(self, key: str, txn_id: str, event: str, tap: str) -> None:
        try:
            await self.house.courier.voice.tap(await self.moves.room(key), txn_id, event, tap)
        except Refused as no:  # the message stands in an earlier room
            log.warning("No reaction was put under a message: %s", no)

    # ---- one message -------------------------------------------------------------------------------------------

    async def speak(self, key: str, txn_id: str, text: str, mention: str = "", since: datetime | None = None) -> str:
        """Say it in the room of the key, and only to those who may hear it; the id of its last event.

        Raises Overheard, and NotHere, NotEncrypted or Refused when the room cannot be used even once it was mended.
        """
        try:
            return await self._speak(key, await self._safe(key), txn_id, text, mention, since)
        except OUT_OF_REACH:
            await self.moves.mend(key)
            return await self._speak(key, await self._safe(key), txn_id, text, mention, since)

    async def _safe(self, key: str) -> Place:
        """The room of the key with nobody in it who may not hear; a person's talk moves away from a stranger.

        Raises Overheard in a common room.
        """
        room = await self.moves.room(key)
        try:
            place = Place(room, await self.house.alone(key, room))
        except Overheard as trouble:
            await self._warn(trouble)
            if key in COMMON:
                raise
            await self.moves.escape(key, room)
            return await self._safe(key)
        if self.house.kept.escaped(room):  # nothing is said in a fresh room before the reason for it
            await self._speak(key, place, f"moved-{room}", self.text("matrix.moved"), "", None)
            self.house.kept.settle(room)
        return place

    async def _speak(self, key: str, place: Place, txn_id: str, text: str, mention: str, since: datetime | None) -> str:
        room = place.room
        if key not in COMMON and key not in place.there:
            await self.moves.mend(key)  # whoever left is asked to come back
            await self.house.expected(key, room)
        event = ""
        words = f"{mention}\n{text}" if mention else text
        people = {mention: mention} if mention else {}
        for number, part in enumerate(parts(words)):
            id = txn_id if number == 0 else f"{txn_id}-{number}"
            said = await self._already(room, id, since) if since else None
            event = said or await self.house.courier.send(room, id, part, html(part, people), tuple(people))
        return event

    async def _already(self, room: str, id: str, since: datetime) -> str | None:
        """The event, if this was said before the homeserver forgot its id, or in the room where the talk was before."""
        voice, kept = self.house.courier.voice, self.house.kept
        found = await voice.find(room, id) if self.clock() - since > FORGOTTEN else None
        while found is None and (move := kept.before(room)) and since <= move[0]:
            room = move[1]
            with suppress(Refused):  # the coach was put out of it
                found = await voice.find(room, id)
        return found

    async def answer(self, key: str, txn_id: str, text: str) -> None:
        """Say what is in no outbox, or keep it, before the arrival that it answers counts as taken.

        A lost room is passed over.
        """
        try:
            await steadily(lambda: self.speak(key, txn_id, text), None)
        except NotYet:
            self.owe(Owed(key, txn_id, text))
        except (Overheard, *OUT_OF_REACH) as trouble:
            log.warning("A reply was not said: %s", trouble)

    async def picture(self, key: str, txn_id: str, state: State, language: str) -> None:
        """The last weeks as a picture, with words that say the same; only words where pictures cannot be drawn."""
        now, book = self.clock(), self.coach.book
        words = speak(weeks.words(state, now, book), book.texts[language])
        try:
            png = await asyncio.to_thread(weeks.draw, state, now, book)
        except ImportError:
            await self.speak(key, txn_id, f"{words}\n{self.text('matrix.no_pictures')}")
            return
        room = (await self._safe(key)).room
        await self.house.courier.voice.picture(room, txn_id, png, words, "weeks.png")

    # ---- what clinicians must know -----------------------------------------------------------------------------

    async def _warn(self, trouble: Overheard) -> None:
        """Tell each clinician alone who is where they may not be."""
        who = ", ".join(sorted(trouble.who))
        about, room = f"{trouble.key} {who}", self._place(trouble.key)
        self.notice("matrix.stranger" if trouble.key in COMMON else "matrix.stranger_alone", about, who=who, room=room)

    async def _moved(self, key: str, old: str, why: str) -> None:
        """Tell each clinician why a room was not followed; they are told where it goes on by the invitation."""
        values = {"room": self._place(key), "why": self.text(f"matrix.unfit.{why}")}
        self.notice("matrix.unfit", old, **values)

    def _place(self, key: str) -> str:
        """A room in words."""
        if key in COMMON:
            return self.text(f"matrix.room.{key}")
        person = self.house.people.who(key)
        return self.text("matrix.room.direct", name=person.name if person else key)

    async def departed(self) -> None:
        """Tell everybody who still stands on lists and works here no more, and what to do about it."""
        for who, names in self.house.people.departed().items():
            to = self.house.people.clinicians()[0].name
            values = {"who": who, "names": ", ".join(names), "first": names[0], "to": to}
            log.warning("%s", self.text("matrix.departed", **values))
            self.notice("matrix.departed", f"{who} {values['names']}", **values)

    async def look(self, key: str) -> None:
        """Somebody came into a room: whether they may be there is asked at once, not only when something is said."""
        with suppress(Overheard):  # the clinicians know by now
            await self._safe(key)

    def notice(self, key: str, about: str, **values: str) -> None:
        """Tell each clinician alone, once a day about the same thing."""
        digest = hashlib.sha256(f"{key} {about} {self.clock():%Y-%m-%d}".encode()).hexdigest()
        if digest in self._warned:
            return
        self._warned.add(digest)
        for person in self.house.people.clinicians():
            if person.address and person.address != about:
                self.owe(Owed(person.address, f"notice-{digest}", self.text(key, **values)))


def parts(text: str) -> Iterator[str]:
    """The text in pieces that fit into one event each, broken between lines where that is possible."""
    piece = ""
    for line in _lines(text):
        longer = f"{piece}\n{line}" if piece else line
        if piece and len(json.dumps([longer, html(longer)])) > MOST:
            yield piece
            longer = line
        piece = longer
    yield piece


def _lines(text: str) -> Iterator[str]:
    for line in text.split("\n"):
        yield from (line[start : start + PIECE] for start in range(0, max(len(line), 1), PIECE))
