"""A room in the terminal: one athlete, or the clinicians' desk; it carries lines to the coach and messages back."""

import asyncio
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import datetime

from coachbot.channels import Channel
from coachbot.coach import Coach
from coachbot.core.desk import views
from coachbot.core.desk.address import address
from coachbot.core.effects import CLINICIANS, Word
from coachbot.core.speak import speak
from coachbot.journal import JournalError

Clock = Callable[[], datetime]
LOOK_EVERY = 0.2
"""Seconds between two looks for what other processes wrote and for what the clock makes due."""


class Room:
    """One open conversation; `to` are the recipients whose messages appear here."""

    def __init__(self, coach: Coach, channel: Channel, clock: Clock, to: Sequence[str]) -> None:
        self.coach, self.channel, self.clock, self.to = coach, channel, clock, to

    async def run(self, take: Callable[[str], None]) -> None:
        """Until the person leaves: take each line, and show what comes from elsewhere meanwhile."""
        self.show()
        watching = asyncio.create_task(self._watch())
        try:
            async for line in self.channel.listen():
                self._guard(lambda line=line: take(line))
                self.show()
        finally:
            watching.cancel()
            with suppress(asyncio.CancelledError):
                await watching

    def show(self) -> None:
        """Say what waits for this room, and remember that it was said."""
        waiting = self.coach.unsent(self.to)
        for message in waiting:
            self.channel.send(message)
        self.coach.sent(waiting, self.clock())

    async def _watch(self) -> None:
        while True:
            await asyncio.sleep(LOOK_EVERY)
            self._guard(self._look)

    def _look(self) -> None:
        due = self.coach.next_wake()
        if due is not None and due <= self.clock():
            self.coach.tick(self.clock())
        if self.coach.journal.changed() or due is not None:
            self.show()

    def _guard(self, doing: Callable[[], None]) -> None:
        """A file that is locked or full is said, not thrown; the person may try again."""
        try:
            doing()
        except JournalError as error:
            print(error, flush=True)


def athlete(coach: Coach, channel: Channel, clock: Clock, person: str) -> None:
    """The athlete's own conversation."""
    room = Room(coach, channel, clock, [person])
    coach.tick(clock())
    if not coach.unsent([person]):
        coach.hear(person, "hello", clock())
    asyncio.run(room.run(lambda line: _hear(coach, person, line, clock)))


def _hear(coach: Coach, person: str, line: str, clock: Clock) -> None:
    coach.hear(person, line, clock())


def desk(coach: Coach, channel: Channel, clock: Clock, clinician: str) -> None:
    """The clinicians' desk: alerts appear while typing; one line is one act."""
    room = Room(coach, channel, clock, [clinician, CLINICIANS])
    coach.tick(clock())
    _say(coach, views.caseload(map(coach.case, coach.journal.cases())))
    asyncio.run(room.run(lambda line: _act(coach, clinician, line, clock)))


def _act(coach: Coach, clinician: str, line: str, clock: Clock) -> None:
    cases = {case: coach.case(case).name for case in coach.journal.cases()}
    found, rest = address(line, cases)
    verb = line.split()[0].lower() if line.split() else ""
    if verb in ("", "caseload", "who"):
        _say(coach, views.caseload(map(coach.case, cases)))
    elif verb in ("help", "?"):
        _say(coach, (Word("desk.help"),))
    elif verb == "enrol":
        _enrol(coach, clinician, line, clock)
    elif not found:
        _say(coach, (Word("desk.who", {"names": tuple(cases.values()) or "–"}),))
    elif len(found) > 1:
        _say(coach, (Word("desk.which", {"names": tuple(found)}),))
    elif not rest.split() or rest.split()[0].lower() in ("case", "show", "open?"):
        _say(coach, views.case(coach.case(found[0])))
    else:
        coach.act(clinician, found[0], rest, clock())


def _enrol(coach: Coach, clinician: str, line: str, clock: Clock) -> None:
    name = " ".join(line.split()[1:])
    if not name:
        return _say(coach, (Word("desk.enrol_how"),))
    case = coach.enrol(name, clinician, clock())
    return _say(coach, (Word("desk.enrolled", {"name": name, "case": case}),))


def _say(coach: Coach, words: tuple[Word, ...]) -> None:
    print(speak(words, coach.book.texts["en"]), end="\n\n", flush=True)
