"""A room in the terminal: one athlete, or the clinicians' desk; it carries lines to the coach and messages back."""

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from coachbot.channels import Channel
from coachbot.coach import Coach
from coachbot.core.effects import CLINICIANS
from coachbot.core.state import IDLE
from coachbot.journal import JournalError, Message
from coachbot.pages import screen

Clock = Callable[[], datetime]
LOOK_EVERY = 0.2
"""Seconds between two looks for what other processes wrote and for what the clock makes due."""


@dataclass
class Room:
    """One open conversation; messages to `to` appear here, and the clock speaks in `case` (None: in every case)."""

    coach: Coach
    channel: Channel
    clock: Clock
    to: Sequence[str]
    case: str | None = None
    trouble: str = ""

    def run(self, take: Callable[[str], None]) -> None:
        """Until the person leaves: take each line, and show what comes from elsewhere meanwhile."""
        self.show()
        import asyncio  # the first question is on the screen by now

        asyncio.run(self._run(take))

    def show(self) -> None:
        """Say what waits for this room, and remember that it was said."""
        waiting = self.coach.unsent(self.to)
        for at, message in enumerate(waiting):
            if not _said_again(message, waiting[at + 1 :]):
                self.channel.send(message)
        self.coach.sent(waiting, self.clock())

    async def _run(self, take: Callable[[str], None]) -> None:
        import asyncio

        both = {asyncio.create_task(self._talk(take)), asyncio.create_task(self._watch())}
        ended, others = await asyncio.wait(both, return_when=asyncio.FIRST_COMPLETED)
        for other in others:
            other.cancel()
        await asyncio.gather(*others, return_exceptions=True)
        for each in ended:
            each.result()

    async def _talk(self, take: Callable[[str], None]) -> None:
        async for line in self.channel.listen():
            self._try(lambda line=line: take(line))  # type: ignore[misc]
            self._try(self.show)

    async def _watch(self) -> None:
        import asyncio

        await asyncio.sleep(LOOK_EVERY)
        await asyncio.to_thread(self.coach.prepare, self.coach.case(self.case).language if self.case else "en")
        while True:
            self._try(self._look)
            await asyncio.sleep(LOOK_EVERY)

    def _look(self) -> None:
        self.coach.tick(self.clock(), self.case)
        self.show()

    def _try(self, doing: Callable[[], None]) -> None:
        """A file that is locked or full is said once to a person, who may try again; a pipe ends with it."""
        try:
            doing()
            self.trouble = ""
        except JournalError as error:
            if not self.channel.tries_again:
                raise
            if self.trouble != str(error):
                self.trouble = str(error)
                print(error, file=sys.stderr, flush=True)


def _said_again(message: Message, later: Sequence[Message]) -> bool:
    """Whether a later one of these asks the same in full: a question and its reminder are shown once."""
    return bool(message.ask) and any(m.to == message.to and m.text.endswith(message.text) for m in later)


# ---- the athlete -------------------------------------------------------------------------------------------------


def athlete(coach: Coach, channel: Channel, clock: Clock, person: str) -> None:
    """The athlete's own conversation: it goes on where it stopped."""
    room = Room(coach, channel, clock, [person], case=person)
    coach.tick(clock(), person)
    if not coach.unsent(room.to):
        if coach.case(person).talk.topic == IDLE:
            coach.hear(person, "hello", clock())
        else:
            _again(channel, coach.journal.messages(person, person))
    room.run(lambda line: _hear(coach, person, line, clock))


def _again(channel: Channel, past: Sequence[Message]) -> None:
    """The open question once more, and the last words when others came after it."""
    asked = [message for message in past if message.ask][-1:]
    for message in dict.fromkeys([*asked, *past[-1:]]):
        channel.send(message)


def _hear(coach: Coach, person: str, line: str, clock: Clock) -> None:
    coach.hear(person, line, clock())


# ---- the desk ----------------------------------------------------------------------------------------------------


def desk(coach: Coach, channel: Channel, clock: Clock, clinician: str) -> None:
    """A desk: one line is one act; alerts appear while typing, at the desks of clinicians alone."""
    known = coach.journal.person(clinician)
    treats = known.role == "clinician" if known else not coach.journal.people()
    room = Room(coach, channel, clock, [clinician, CLINICIANS] if treats else [clinician])
    coach.start(clock())
    _act(room, clinician, "")
    room.run(lambda line: _act(room, clinician, line))


def _act(room: Room, clinician: str, line: str) -> None:
    draw = screen.table if room.channel.tries_again else None  # a person sees a table, a pipe gets lines
    shown = room.coach.say(clinician, line, room.clock(), draw=draw)
    if shown:
        room.channel.say(shown)
