"""A whole clinic for tests: the real coach on a file of its own; people write at their desks and in their chats."""

from datetime import datetime, timedelta
from pathlib import Path

from play import CLINICIAN, INJURED, INTAKE, ZONE, book

from coachbot.coach import Coach
from coachbot.core.days import instant
from coachbot.core.effects import CLINICIANS
from coachbot.core.events import Event
from coachbot.core.state import State
from coachbot.journal import Journal, Message, Person

OTHER = "dr-two"


class Clinic:
    """Time moves only when the test says so."""

    def __init__(self, path: Path) -> None:
        self.path = path / "clinic.sqlite"
        self.now = instant(INJURED, 18, ZONE)
        self.open()
        for person in (CLINICIAN, OTHER):
            self.coach.journal.add_person(Person(person, person, "clinician"))

    def open(self) -> None:
        """Start the coach; calling it again is a restart."""
        self.coach = Coach(Journal.open(self.path), book())

    def add(self, person: str, role: str) -> None:
        self.coach.journal.add_person(Person(person, person, role))

    def enrol(self, name: str = "Sam", by: str = CLINICIAN) -> str:
        """An athlete named to the coach."""
        return self.coach.enrol(name, by, self.now, zone=ZONE)

    def screened(self, name: str = "Sam", by: str = CLINICIAN, **answers: str) -> str:
        """An athlete whose intake is done."""
        case = self.enrol(name, by)
        self.hear(case, "hello")
        for words in {**INTAKE, **answers}.values():
            self.hear(case, words)
        return case

    def approved(self, name: str = "Sam", by: str = CLINICIAN, **answers: str) -> str:
        """An athlete with an approved programme."""
        case = self.screened(name, by, **answers)
        self.coach.act(by, case, "approve", self.now)
        return case

    def hear(self, case: str, words: str) -> str:
        """The athlete writes; returns what they are told."""
        said = self.coach.hear(case, words, self.now)
        self.coach.sent(said, self.now)
        return "\n".join(message.text for message in said)

    def say(self, line: str, by: str = CLINICIAN) -> str:
        """Someone writes at their desk; returns all that they are told."""
        shown = self.coach.say(by, line, self.now)
        return "\n".join([*([shown] if shown else []), *(m.text for m in self.unsent(by))])

    def unsent(self, *to: str) -> list[Message]:
        """What waits for these people, marked as sent."""
        waiting = self.coach.unsent(to)
        self.coach.sent(waiting, self.now)
        return waiting

    def news(self) -> list[str]:
        """What was said to all clinicians."""
        return [message.text for message in self.unsent(CLINICIANS)]

    def on(self, day: int, hour: float = 8) -> "Clinic":
        """Move to this day after the injury; the clock speaks of all that became due."""
        until = instant(INJURED + timedelta(days=day), hour, ZONE)
        while (due := self.coach.next_wake()) is not None and due <= until:
            self.now = max(self.now, due)
            self.coach.tick(self.now)
        self.now = until
        return self

    def later(self, **gap: float) -> "Clinic":
        """Let time pass without the clock speaking."""
        self.now += timedelta(**gap)
        return self

    def tick(self, at: datetime | None = None) -> None:
        self.now = at or self.now
        self.coach.tick(self.now)

    def state(self, case: str = "sam") -> State:
        return self.coach.case(case)

    def events(self, case: str = "sam") -> list[Event]:
        return [event for _, event in self.coach.journal.read(case)]

    def kinds(self, case: str = "sam") -> list[str]:
        return [event.kind for event in self.events(case)]

    def morning(self, case: str = "sam", walking: str = "1", response: str = "settled") -> str:
        """Today's check-in."""
        if self.state(case).talk.dialog != "morning":
            self.hear(case, "hello")
        said = self.hear(case, walking)
        for words in ("no", response):
            if self.state(case).talk.dialog == "morning":
                said = self.hear(case, words)
        return said
