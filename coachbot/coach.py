"""The shell around the core: read, fold, step, append; it keeps the last state in memory and decides nothing."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from coachbot import language, zones
from coachbot.core.book import Handbook
from coachbot.core.effects import ATHLETE, Alert, Effect
from coachbot.core.events import Acted, Arrival, Enrolled, Event, Heard, Ticked
from coachbot.core.speak import speak
from coachbot.core.state import State, fold
from coachbot.core.step import next_wake, step
from coachbot.journal import AlreadyHeard, Journal, Message, Outgoing, Overtaken, Person

CLINICIAN_LANGUAGE = "en"


class UnknownPerson(LookupError):
    """Nobody with this name is known here."""


@dataclass(frozen=True)
class _Cached:
    position: int
    state: State


class Coach:
    """One open store and one handbook. Time is always passed in, as an aware datetime."""

    def __init__(self, journal: Journal, book: Handbook) -> None:
        self.journal = journal
        self._book = book
        self._cases: dict[str, _Cached] = {}

    # ---- what channels call ------------------------------------------------------------------------------------

    def enrol(self, name: str, by: str, at: datetime, zone: str = "UTC", language: str = "en") -> str:
        """Take in an athlete and return the id of the case. `by` is the clinician who answers for it."""
        clinicians = [p.id for p in self.journal.people("clinician")]
        if by not in clinicians:
            self.journal.add_person(Person(by, by, "clinician"))
            clinicians.append(by)
        case = self._free_id(name)
        order = (by, *(each for each in clinicians if each != by))
        enrolled = Enrolled(
            at=at, by=by, athlete=case, name=name, clinicians=order, zone=zone, language=language
        )
        self.journal.append(case, 0, [enrolled], [], at=at)
        self.journal.add_person(Person(case, name, "athlete", case))
        return case

    def hear(self, person: str, text: str, at: datetime, message: str | None = None, edits: str | None = None) -> list[Message]:
        """Take a message of an athlete; returns what the coach says to them. The same `message` id is taken once."""
        known = self.journal.person(person)
        if known is None or known.case is None:
            raise UnknownPerson(person)
        self._take(known.case, Heard(at=at, text=text, edits=edits), message)
        return self.unsent([person])

    def act(self, clinician: str, case: str, line: str, at: datetime, message: str | None = None) -> list[Message]:
        """Carry out a clinician's line on a case; returns what the coach says to the clinician."""
        self._take(case, Acted(at=at, by=clinician, line=line), message)
        return self.unsent([clinician])

    def tick(self, at: datetime) -> None:
        """Let the clock speak in every case in which something is due."""
        for case in self.journal.cases():
            due = next_wake(self.case(case), self._book)
            if due is not None and due <= at:
                self._take(case, Ticked(at=at), None)

    def next_wake(self) -> datetime | None:
        """When the clock must speak next, in any case."""
        wakes = (next_wake(self.case(case), self._book) for case in self.journal.cases())
        return min((at for at in wakes if at is not None), default=None)

    def case(self, case: str) -> State:
        """The case as it stands now, whichever process moved it last."""
        cached = self._cases.get(case, _Cached(0, State(case=case)))
        newer = self.journal.read(case, cached.position)
        if newer:
            cached = _Cached(newer[-1][0], fold((event for _, event in newer), cached.state))
            self._cases[case] = cached
        return cached.state

    def unsent(self, to: Collection[str]) -> list[Message]:
        """What waits to be said to these people."""
        return self.journal.unsent(to)

    def sent(self, messages: Iterable[Message], at: datetime) -> None:
        """These messages were shown or delivered."""
        self.journal.mark_sent([each.id for each in messages], at)

    @property
    def book(self) -> Handbook:
        """The handbook with all that reading an answer needs."""
        return self._book

    # ---- one turn ----------------------------------------------------------------------------------------------

    def _take(self, case: str, arrival: Arrival, message: str | None) -> None:
        """Read, fold, step, append. Another process that was faster only means: read again and decide anew."""
        while True:
            state = self.case(case)
            self._prepare(state)
            done = step(state, arrival, self._book)
            if not done.facts:
                return
            try:
                self._append(case, state, done.facts, self._outgoing(state, done.effects), message, arrival.at)
            except Overtaken:
                continue
            except AlreadyHeard:
                return
            return

    def _append(
        self, case: str, state: State, facts: tuple[Event, ...], out: list[Outgoing], message: str | None, at: datetime
    ) -> None:
        after = self._cases[case].position if case in self._cases else 0
        position = self.journal.append(case, after, facts, out, message, at=at)
        self._cases[case] = _Cached(position, fold(facts, state))

    def _prepare(self, state: State) -> None:
        """Load what reading this athlete's answers needs, once; and the zone, so that the core opens no file."""
        ZoneInfo(state.zone)
        if state.language not in self._book.languages:
            languages = {**self._book.languages, state.language: language.load_full(state.language)}
            self._book = replace(self._book, languages=languages, zones=zones.names())

    def _outgoing(self, state: State, effects: tuple[Effect, ...]) -> list[Outgoing]:
        """Wishes as rendered messages: a retry sends the same words."""
        return [self._render(state, effect) for effect in effects]

    def _render(self, state: State, effect: Effect) -> Outgoing:
        to_athlete = effect.to == ATHLETE
        texts = self._book.texts[state.language if to_athlete else CLINICIAN_LANGUAGE]
        text = speak(effect.lines, texts)
        if isinstance(effect, Alert):
            return Outgoing(effect.to, "alert", text, alert=effect.alert)
        return Outgoing(state.athlete if to_athlete else effect.to, "say", text, ask=effect.ask)

    def _free_id(self, name: str) -> str:
        base = "".join(c for c in name.lower() if c.isalnum()) or "athlete"
        taken = {p.id for p in self.journal.people()}
        numbered = (f"{base}{n}" for n in range(2, len(taken) + 3))
        return next(each for each in (base, *numbered) if each not in taken)
