"""The shell of the clinicians' desks: a stream for each, lines in, words out, news by the clock; it decides nothing."""

from collections.abc import Callable, Iterable, Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from coachbot.core.desk import alerts, board, desk as rules, digest, views
from coachbot.core.desk.desk import STREAM, Desk
from coachbot.core.desk.hear import House, Outcome, Who, hear
from coachbot.core.desk.hours import MIDNIGHT
from coachbot.core.effects import CLINICIANS, TEAM, Word
from coachbot.core.events import Acted, Arranged, Away, Event, Focused, LanguageChosen, Rostered, Sent
from coachbot.core.rules.roster import WEEKDAYS, gone
from coachbot.core.speak import Texts, speak
from coachbot.core.step import next_wake
from coachbot.journal import Overtaken, Person
from coachbot.language import REFERENCE
from coachbot.records import Outgoing

if TYPE_CHECKING:
    from coachbot.coach import Coach

Draw = Callable[[Sequence[views.Row], Texts], str]
ALIVE = "alive at"
"""Where the journal keeps when the coach was last seen running."""
BEAT = timedelta(minutes=1)


class Desks:
    """All desks of one file."""

    def __init__(self, coach: "Coach") -> None:
        self._coach = coach
        self._alive_at: datetime | None = None

    # ---- lines -------------------------------------------------------------------------------------------------

    def say(self, person: str, line: str, at: datetime, message: str | None = None, draw: Draw | None = None) -> str:
        """Take a line of a person at the desk; returns the words to show, which are not stored ("" for none).

        What is said in cases waits in the outbox. A message id is carried out once. `draw` shows a case's rows where
        a channel has tables; else they are lines.
        """
        outcome, shown = self._carry(person, line, at, message)
        if outcome.rows and draw:
            return draw(outcome.rows, self._coach.book.texts[self.language(person)])
        return shown

    def post(self, person: str, line: str, at: datetime, message: str) -> str:
        """As `say`, in one transaction with the words to show, which wait in the outbox; read-only words come back."""
        journal = self._coach.journal
        if journal.taken(message) or journal.taken(f"{message}-0"):
            return ""
        with self._coach.together():
            outcome, shown = self._carry(person, line, at, message)
            if not outcome.changes:
                return shown
            if shown:
                desk = self.desk(person)
                read = Focused(at=at, case=desk.case, waits=desk.waits)
                self._note(person, [read], [Outgoing(person, "say", shown)], at, message)
        return ""

    def _carry(self, person: str, line: str, at: datetime, message: str | None) -> tuple[Outcome, str]:
        """Carry out one line; what follows from it, and the words to show."""
        if line.strip():  # the first caseload does not wait for the words
            self._coach.prepare(self.language(person))
        outcome = hear(line, self._who(person), self.desk(person), self._house(), self._coach.book, at)
        shown = list(outcome.shown)
        for number, (case, arrival) in enumerate(outcome.arrivals):
            self._coach.arrive(case, arrival, self._once(person, arrival, message, number))
        if outcome.enrol:
            shown.append(self._enrol(outcome.enrol, person, at))
        for new, role in outcome.people:
            self._coach.journal.add_person(Person(new, new, role))
        self._note(person, outcome.facts, [], at)
        if outcome.erase:
            self._erase(outcome.erase, at)
        return outcome, self._spoken([*shown, *views.text(outcome.rows)], person)

    def _once(self, person: str, arrival: Event, message: str | None, number: int) -> str | None:
        """The id under which an arrival is taken once: the channel's, or that of the act that a "yes" confirms."""
        desk = self.desk(person)
        if message is None and isinstance(arrival, Acted) and desk.waits:
            return f"{self._stream(person)}-{self._coach.journal.position(self._stream(person))}"
        return f"{message}-{number}" if message is not None else None

    def _enrol(self, name: str, person: str, at: datetime) -> Word:
        """A clinician answers for whom they enrol; whom the owner enrols, the first clinician does."""
        clinicians = self._clinicians()
        known = self._coach.journal.person(person)
        treats = known is None or known.role == "clinician"
        if not treats and not clinicians:
            return Word("desk.no_clinician")
        by = person if treats else clinicians[0]
        case = self._coach.enrol(name, by, at, zone=self.desk(by).zone)
        return Word("desk.enrolled", {"name": name, "case": case})

    def _who(self, person: str) -> Who:
        """A person's role as it is kept; whoever comes first to an empty house is its clinician."""
        known = self._coach.journal.person(person)
        if known is None and not self._coach.journal.people():
            return Who(person, "clinician")
        return Who(person, known.role if known else "staff")

    def _clinicians(self) -> tuple[str, ...]:
        return tuple(p.id for p in self._coach.journal.people("clinician"))

    def _house(self) -> House:
        cases = {case: self._coach.case(case) for case in self._coach.cases()}
        return House(cases, self._clinicians(), lambda case: [event for _, event in self._coach.journal.read(case)])

    # ---- one desk ----------------------------------------------------------------------------------------------

    def desk(self, person: str) -> Desk:
        """The desk as it stands."""
        events = (event for _, event in self._coach.journal.read(self._stream(person)))
        return rules.fold(events, Desk(person))

    def arrange(self, person: str, zone: str, digest_hour: float | None, at: datetime) -> None:
        """Give a desk that nobody has arranged yet its zone and the hour of its digest."""
        if self.desk(person).arranged_at is None:
            self._note(person, [Arranged(at=at, zone=zone, digest_hour=digest_hour, board_hour=None)], [], at)

    def duties(self, clinicians: Iterable[str], at: datetime) -> list[Rostered]:
        """The hours of these clinicians, for the stream of a new case."""
        kept = (self.desk(each).duty for each in clinicians)
        return [duty.model_copy(update={"at": at}) for duty in kept if duty]

    def roster(self, at: datetime) -> None:
        """Bring every running case in line with who works here: alerts pass over who left, and find who came back."""
        here = self._clinicians()
        for case in self._coach.cases():
            state = self._coach.case(case)
            changed = [each for each in state.clinicians if gone(state, each) == (each in here)]
            if changed and state.course != "closed":
                self._store(case, [self._present(each, each in here, at) for each in changed], at)

    def _present(self, who: str, here: bool, at: datetime) -> Rostered:
        """That somebody has left, or is back in their hours."""
        desk = self.desk(who)
        days = WEEKDAYS if here else ()
        always = Rostered(at=at, who=who, zone=desk.zone, days=days, from_hour=0, to_hour=MIDNIGHT, number="")
        return desk.duty.model_copy(update={"at": at}) if here and desk.duty else always

    def _stream(self, person: str) -> str:
        """The stream of the desk; a new one begins when a person is erased, so that nothing of them stays in it."""
        return self._coach.journal.kept(STREAM + person) or f"{STREAM}{person}"

    def _note(
        self, person: str, facts: Sequence[Event], out: Sequence[Outgoing], at: datetime, message: str | None = None
    ) -> None:
        """Store facts of the desk; whoever was faster only moves them on."""
        if facts:
            self._store(self._stream(person), facts, at, out, message)

    def _store(
        self, stream: str, facts: Sequence[Event], at: datetime, out: Sequence[Outgoing] = (), id: str | None = None
    ) -> None:
        while True:
            try:
                self._coach.journal.append(stream, self._coach.journal.position(stream), facts, out, id, at=at)
                return
            except Overtaken:
                continue

    def language(self, to: str) -> str:
        """The language that a person reads at their desk; of an audience the one that all clinicians share."""
        if to not in (CLINICIANS, TEAM):
            return self.desk(to).language
        read = {self.desk(each).language for each in self._clinicians()}
        return read.pop() if len(read) == 1 else REFERENCE

    def _spoken(self, words: Sequence[Word], to: str) -> str:
        return speak(words, self._coach.book.texts[self.language(to)])

    # ---- the clock ---------------------------------------------------------------------------------------------

    def next_wake(self) -> datetime | None:
        """When news is due next, at any desk."""
        return min((at for _, _, at in self._due()), default=None)

    def tick(self, at: datetime) -> None:
        """Send each clinician the news that is due, and remember once a minute that the coach is running."""
        if self._alive_at is None or at - self._alive_at >= BEAT:
            self.alive(at)
        for person, what, due in self._due():
            if due <= at:
                self._send(person, what, at)

    def _due(self) -> list[tuple[str, str, datetime]]:
        """Who gets what when; a digest is for clinicians, also when its hour was set by one who is none any more."""
        people = self._coach.journal.people("owner", "clinician", "staff")
        news = [(p, what, at) for p in people for what, at in rules.due(self.desk(p.id)).items()]
        return [(p.id, what, at) for p, what, at in news if what == "board" or p.role == "clinician"]

    def _send(self, person: str, what: str, at: datetime) -> None:
        desk, house = self.desk(person), self._house()
        if what == "board":
            to, words = TEAM, board.board(house.cases.values(), self._coach.book)
        else:
            mine = [state for state in house.cases.values() if person in state.clinicians]
            to, words = person, digest.digest(mine, at, desk.zone, self._coach.book)
        fact = Sent(at=at, what="board" if what == "board" else "digest", day=desk.today(at))
        self._note(person, [fact], [Outgoing(to, "say", self._spoken(words, to))], at)

    # ---- coming back -------------------------------------------------------------------------------------------

    def start(self, at: datetime) -> None:
        """Called once when the coach starts: say since when it was away, and do what it missed, oldest alert first."""
        alive = self._coach.journal.kept(ALIVE)
        since = datetime.fromisoformat(alive) if alive else at
        missed = sorted(filter(None, (self._missed(case, since, at) for case in self._coach.cases())))
        wait = timedelta(minutes=self._coach.book.numbers["desk.away_after"].value)
        if missed and at - since > wait:
            self._tell_away(since, len(missed), at)
        for _, _, case in missed:
            self._coach.tick(at, case)
        self.alive(at)

    def alive(self, at: datetime) -> None:
        """Remember that the coach is running."""
        self._alive_at = at
        self._coach.journal.keep(ALIVE, at.isoformat())

    def _missed(self, case: str, since: datetime, at: datetime) -> tuple[bool, datetime, str] | None:
        """What became due in a case: alerts before all else, the oldest first."""
        state = self._coach.case(case)
        due = next_wake(state, self._coach.book)
        if due is None or due > at:
            return None
        raised = [alert.raised_at for alert in alerts.waiting(state)]
        return not raised, min([*raised, due]), case

    def _tell_away(self, since: datetime, due: int, at: datetime) -> None:
        first = next((p.id for p in self._coach.journal.people("clinician")), None)
        if first:
            zone = self.desk(first).zone
            local = since.astimezone(ZoneInfo(zone))
            when = {"day": local.date(), "hour": f"{local:%H:%M}", "zone": zone}
            said = self._spoken([Word("desk.away", {**when, "n": due})], CLINICIANS)
            self._note(first, [Away(at=at, since=since, due=due)], [Outgoing(CLINICIANS, "say", said)], at)

    # ---- erasing -----------------------------------------------------------------------------------------------

    def _erase(self, case: str, at: datetime) -> None:
        """Erase a case, and begin every desk anew: its old stream may name the athlete."""
        journal = self._coach.journal
        for person in [p for p in journal.people() if p.role != "athlete"]:
            self._renew(person, at)
        journal.erase(case)

    def _renew(self, person: Person, at: datetime) -> None:
        old, desk = self._stream(person.id), self.desk(person.id)
        if not self._coach.journal.position(old):
            return
        number = int(old.rpartition("#")[2]) + 1 if "#" in old else 2
        kept: list[Event] = [desk.duty] if desk.duty else []
        kept += [LanguageChosen(at=at, language=desk.language)]
        kept += [Arranged(at=at, zone=desk.zone, digest_hour=desk.digest_hour, board_hour=desk.board_hour)]
        self._coach.journal.keep(STREAM + person.id, f"{STREAM}{person.id}#{number}")
        self._note(person.id, kept, [], at)
        self._coach.journal.erase(old)
