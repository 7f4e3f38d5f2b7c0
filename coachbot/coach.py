"""The shell around the core: read, fold, step, append; it keeps the last state in memory and decides nothing."""

from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from coachbot import language, zones
from coachbot.alarms import Alarms
from coachbot.core.book import Handbook
from coachbot.core.desk import outlook
from coachbot.core.desk.desk import STREAM
from coachbot.core.effects import ATHLETE, Alert, Effect
from coachbot.core.events import Acted, Arrival, Enrolled, Heard, Other, Ticked
from coachbot.core.reading import Incomplete
from coachbot.core.speak import speak
from coachbot.core.state import State, fold
from coachbot.core.step import next_wake, step
from coachbot.desks import Desks, Draw
from coachbot.journal import AlreadyHeard, Journal, Message, Outgoing, Overtaken, Person
from coachbot.language import missing


class UnknownPerson(LookupError):
    """Nobody with this name, or no such case, is known in the file."""

    def __str__(self) -> str:
        return f"Nobody called {self.args[0]} is known in this file. The desk shows who is: coachbot desk."


@dataclass(frozen=True)
class _Cached:
    position: int
    state: State


class Coach:
    """One open store and one handbook. Time is always passed in, as an aware datetime."""

    def __init__(self, journal: Journal, book: Handbook, meaning: bool = False) -> None:
        self.journal = journal
        self._book = book
        self._meaning = meaning  # whether messages are also read by what they mean
        self._cases: dict[str, _Cached] = {}
        self._moved: set[str] = set()  # cases whose alarm is out of date
        self._alarms = Alarms()
        self._knows_all = False
        self.desks = Desks(self)

    # ---- what channels call ------------------------------------------------------------------------------------

    def enrol(
        self,
        name: str,
        by: str,
        at: datetime,
        zone: str = "UTC",
        language: str = "en",
        address: str | None = None,
        on_call: Sequence[str] = (),
    ) -> str:
        """Take in an athlete and return the id of the case. `by` is the clinician who answers for it.

        `address` is where a channel finds the athlete, `on_call` the clinicians in the order in which alerts go out. An
        athlete of this name whose last case is closed gets a new case: a new injury is never an old case reopened.
        Raises Incomplete for a language that is not offered.
        """
        if lacking := missing(language):
            raise Incomplete(f"{language} is not offered yet: {len(lacking)} missing, the first is {lacking[0]}.")
        known = self.journal.people()
        clinicians = [*on_call] or [p.id for p in known if p.role == "clinician"]
        order = tuple(on_call) or (by, *(each for each in clinicians if each != by))
        case = _free_id(name, {p.id for p in known} | self.journal.positions().keys())
        namesakes = (p for p in known if p.name == name and address in (None, p.address))
        before = next((p for p in namesakes if p.case and self.case(p.case).course == "closed"), None)
        person = replace(before, case=case) if before else Person(case, name, "athlete", case, address)
        enrolled = Enrolled(at=at, by=by, athlete=person.id, name=name, clinicians=order, zone=zone, language=language)
        people = [person]
        if by not in clinicians:
            people.append(Person(by, by, "clinician"))
        duties = self.desks.duties(order, at)
        try:
            self.journal.append(case, 0, [enrolled, *duties], [], at=at, people=people)
        except Overtaken:  # another process just gave this id to someone else
            return self.enrol(name, by, at, zone, language, address, on_call)
        return case

    def hear(
        self, person: str, text: str, at: datetime, message: str | None = None, edits: str | None = None
    ) -> list[Message]:
        """Take a message of an athlete; returns what the coach says to them. The same `message` id is taken once."""
        known = self.journal.person(person)
        if known is None or known.case is None:
            raise UnknownPerson(person)
        self.arrive(known.case, Heard(at=at, text=text, edits=edits), message)
        return self.unsent([person])

    def act(self, clinician: str, case: str, line: str, at: datetime, message: str | None = None) -> list[Message]:
        """Carry out a clinician's line on a case; returns what the coach says to the clinician."""
        known = self.journal.person(clinician)
        role = known.role if known else "clinician"
        acted = Acted(at=at, by=clinician, line=line, role=role, others=self._others(case, line, at))
        self.arrive(case, acted, message)
        return self.unsent([clinician])

    def _others(self, case: str, line: str, at: datetime) -> tuple[Other, ...]:
        """The clinic's other cases without names, for a line that asks for an outlook."""
        if not outlook.wanted(line, self._book):
            return ()
        return outlook.others((self.case(each) for each in self.journal.cases() if each != case), at)

    def say(self, person: str, line: str, at: datetime, message: str | None = None, draw: Draw | None = None) -> str:
        """Take a line of a clinician, the owner or staff at their desk; returns what is shown at once only."""
        return self.desks.say(person, line, at, message, draw)

    def post(self, person: str, line: str, at: datetime, message: str) -> str:
        """As `say`, but what is stored and the words to show, put in the outbox, are one transaction.

        The same `message` id is taken once. Returns the words only of a line that stores nothing.
        """
        return self.desks.post(person, line, at, message)

    @contextmanager
    def together(self) -> Iterator[None]:
        """One transaction around several turns; when it fails, nothing of them is stored nor remembered."""
        try:
            with self.journal.together():
                yield
        except BaseException:
            self._cases.clear()
            self._moved.clear()
            self._knows_all = False
            raise

    def start(self, at: datetime) -> None:
        """The coach begins to run: it says since when it was away, and does what it missed."""
        self.desks.start(at)

    def cases(self) -> list[str]:
        """Every case; the desks have streams of their own beside them."""
        return [case for case in self.journal.cases() if not case.startswith(STREAM)]

    def tick(self, at: datetime, only: str | None = None) -> None:
        """Let the clock speak in every case in which something is due, or in `only` this one."""
        for case in self._due(at) if only is None else [only]:
            due = next_wake(self.case(case), self._book)
            if due is not None and due <= at:
                self.arrive(case, Ticked(at=at), None)
        if only is None:
            self.desks.tick(at)

    def next_wake(self) -> datetime | None:
        """When the clock must speak next, in any case or at any desk."""
        self._follow()
        return min((at for at in (self._alarms.next(), self.desks.next_wake()) if at), default=None)

    def case(self, case: str) -> State:
        """The case as it stands now, whichever process moved it last."""
        return self._current(case).state

    def prepare(self, code: str) -> None:
        """Load what reading answers in this language needs: a tenth of a second that the first answer need not wait."""
        if code not in self._book.languages:
            offered = language.offered() if len(self._book.texts) > 1 else tuple(self._book.texts)
            languages = {each: language.load_full(each, meaning=self._meaning) for each in (code, *offered)}
            languages = {**self._book.languages, **languages}
            self._book = replace(self._book, languages=languages, offered=offered, zones=zones.names())

    def unsent(self, to: Collection[str]) -> list[Message]:
        """What waits to be said to these people."""
        return self.journal.unsent(to)

    def sent(self, messages: Sequence[Message], at: datetime) -> None:
        """These messages were shown or delivered."""
        if messages:
            self.journal.mark_sent([each.id for each in messages], at)

    @property
    def book(self) -> Handbook:
        """The handbook with all that reading an answer needs."""
        return self._book

    # ---- one turn ----------------------------------------------------------------------------------------------

    def arrive(self, case: str, arrival: Arrival, message: str | None) -> None:
        """Read, fold, step, append. Another process that was faster only means: read again and decide anew."""
        while True:
            now = self._current(case)
            if not now.position:
                raise UnknownPerson(case)
            ZoneInfo(now.state.zone)  # opens its file here, so that the core opens none
            if isinstance(arrival, Heard):
                self.prepare(now.state.language)
            done = step(now.state, arrival, self._book)
            if not done.facts:
                return
            after = fold(done.facts, now.state)
            outgoing = [self._render(after, effect) for effect in done.effects]
            try:
                position = self.journal.append(case, now.position, done.facts, outgoing, message, at=arrival.at)
            except Overtaken as other:
                if other.position < now.position:  # erased meanwhile
                    self._forget(case)
                continue
            except AlreadyHeard:
                return
            self._remember(case, _Cached(position, after))
            return

    def _current(self, case: str) -> _Cached:
        cached = self._cases.get(case, _Cached(0, State(case=case)))
        newer = self.journal.read(case, cached.position)
        if newer:
            cached = _Cached(newer[-1][0], fold((event for _, event in newer), cached.state))
            self._remember(case, cached)
        return cached

    def _remember(self, case: str, now: _Cached) -> None:
        self._cases[case] = now
        self._moved.add(case)

    def _forget(self, case: str) -> None:
        del self._cases[case]
        self._moved.discard(case)
        self._alarms.set(case, None)

    def _due(self, at: datetime) -> list[str]:
        self._follow()
        due = self._alarms.ring(at)
        self._moved.update(due)  # an alarm that changes nothing rings again
        return due

    def _follow(self) -> None:
        """Bring the alarms up to date: of all cases at first, then only of those that moved."""
        if self.journal.changed() or not self._knows_all:
            positions = self.journal.positions()
            for case in self._cases.keys() - positions.keys():
                self._forget(case)
            for case, position in positions.items():
                if case.startswith(STREAM):
                    continue
                if case not in self._cases or self._cases[case].position != position:
                    self._current(case)
            self._knows_all = True
        for case in self._moved:
            self._alarms.set(case, next_wake(self._cases[case].state, self._book))
        self._moved.clear()

    def _render(self, state: State, effect: Effect) -> Outgoing:
        """Everybody reads their own language: the athlete the one chosen last, a clinician that of their desk."""
        to_athlete = effect.to == ATHLETE
        code = state.language if to_athlete else self.desks.language(effect.to)
        text = speak(effect.lines, self._book.texts[code])
        if isinstance(effect, Alert):
            return Outgoing(effect.to, "alert", text, alert=effect.alert)
        return Outgoing(state.athlete if to_athlete else effect.to, "say", text, ask=effect.ask)


def _free_id(name: str, taken: Collection[str]) -> str:
    base = "".join(c for c in name.lower() if c.isalnum()) or "athlete"
    numbered = (f"{base}{n}" for n in range(2, len(taken) + 3))
    return next(each for each in (base, *numbered) if each not in taken)
