"""A case played in memory for tests: lines in, facts and words out, days passing as the test says."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cache

from coachbot import handbook, language, zones
from coachbot.core.book import Handbook
from coachbot.core.days import instant
from coachbot.core.effects import ATHLETE, Alert, Say
from coachbot.core.events import Acted, Enrolled, Event, Heard, Prescribed, Ticked
from coachbot.core.speak import speak
from coachbot.core.state import State, apply, fold
from coachbot.core.step import Step, next_wake, step

INJURED = date(2026, 3, 2)
ZONE = "Europe/Berlin"
CLINICIAN = "dr-lee"
MOST_ANSWERS = 40
EVERYTHING = "sliders, foot anchor, extension bench, bench, step, weights"


@cache
def book() -> Handbook:
    """The shipped handbook with all that reading English needs."""
    loaded = handbook.load()
    return replace(loaded, languages={"en": language.load_full("en")}, zones=zones.names())


class Play:
    """One case. `now` moves only when the test says so; every step's facts are folded twice and compared."""

    def __init__(self, with_book: Handbook | None = None, clinicians: tuple[str, ...] = (CLINICIAN, "dr-two")) -> None:
        self.book = with_book or book()
        self.now = instant(INJURED, 18, ZONE)
        enrolled = Enrolled(at=self.now, by=CLINICIAN, athlete="sam", name="Sam", clinicians=clinicians, zone=ZONE)
        self.events: list[Event] = [enrolled]
        self.state = apply(State(case="sam"), enrolled)
        self.steps: list[Step] = []

    # ---- arrivals ----

    def hear(self, text: str, edits: str | None = None) -> str:
        """The athlete writes; returns what the athlete is told."""
        return self._take(Heard(at=self.now, text=text, edits=edits))

    def act(self, line: str, by: str = CLINICIAN) -> str:
        """The clinician writes; returns what the clinician is told."""
        self._take(Acted(at=self.now, by=by, line=line))
        return self.told(by)

    def tick(self) -> str:
        """The clock speaks."""
        return self._take(Ticked(at=self.now))

    def _take(self, arrival: Heard | Acted | Ticked) -> str:
        done = step(self.state, arrival, self.book)
        self.steps.append(done)
        self.events += done.facts
        self.state = fold(done.facts, self.state)
        return self.told(ATHLETE)

    def plainly(self, text: str) -> str:
        """The athlete writes an ordinary answer; should the coach doubt its words, there is nothing behind them."""
        said = self.hear(text)
        return self.hear("no") if self.state.talk.dialog == "doubt" else said

    # ---- time ----

    def on(self, day: int, hour: float = 8) -> "Play":
        """Move to this day after the injury, at this local hour; the clock speaks of all that became due."""
        until = instant(INJURED + timedelta(days=day), hour, self.state.zone)
        while (due := next_wake(self.state, self.book)) is not None and due <= until:
            before = len(self.events)
            self.now = max(self.now, due)
            self.tick()
            assert len(self.events) > before, f"a due timer changed nothing at {self.now}"
        self.now = until
        return self

    def later(self, **gap: float) -> "Play":
        """Let this much time pass."""
        self.now += timedelta(**gap)
        return self

    # ---- what came of it ----

    def told(self, to: str) -> str:
        """What the last step says to an audience or a person."""
        effects = self.steps[-1].effects if self.steps else ()
        texts = self.book.texts["en"]
        return "\n".join(speak(e.lines, texts) for e in effects if e.to == to and isinstance(e, Say | Alert))

    @property
    def last(self) -> tuple[Event, ...]:
        """The facts of the last step."""
        return self.steps[-1].facts

    def kinds(self) -> list[str]:
        """The kinds of the facts of the last step, in order."""
        return [fact.kind for fact in self.last]

    @property
    def alerts(self) -> list[Alert]:
        """The alerts of the last step."""
        return [e for e in self.steps[-1].effects if isinstance(e, Alert)]

    @property
    def issued(self) -> list[Prescribed]:
        """Every session issued so far."""
        return [event for event in self.events if isinstance(event, Prescribed)]

    # ---- whole dialogs ----

    def intake(self, **answers: str) -> "Play":
        """The whole intake; name a slot to answer it otherwise."""
        told = {**INTAKE, **answers}
        self.hear("hello")
        for slot in told:
            if self.state.hold:
                break
            self.plainly(told[slot])
        return self

    def morning(self, walking: str = "0", sudden: str = "no", response: str = "good") -> str:
        """Today's check-in; returns the last message."""
        if self.state.talk.dialog != "morning":
            self.hear("hello")
        said = self.plainly(walking)
        if self.state.talk.question == "sudden":
            said = self.plainly(sudden)
        if self.state.talk.question == "response":
            said = self.plainly(response)
        return said

    def report(self, work: str = "all sets", full: str = "full range", pain: str = "0", run: str | None = None) -> str:
        """The after-session report: the same for every exercise; the run as asked, at the speed prescribed."""
        said = self.hear("done")
        for _ in range(MOST_ANSWERS):
            if self.state.talk.dialog != "report":
                return said
            match self.state.talk.question:
                case "run":
                    session = self.state.session
                    assert session is not None and session.left is not None
                    line = session.lines[session.left]
                    said = self.plainly(run or f"{line.repetitions} reps, {line.percent:g} %, pain {pain}")  # type: ignore[union-attr]
                case "work":
                    said = self.plainly(f"{work}, {full}, pain {pain}")
                case "sudden":
                    said = self.hear("no")
                case _:
                    said = self.hear("5, 40 min")
        raise AssertionError(f"the report does not end: {said}")

    def approved(self, families: str = "", **answers: str) -> "Play":
        """Intake done on the evening of the injury, approved at once."""
        self.intake(**answers)
        self.act(f"approve {families}".strip())
        return self


INTAKE = {
    "side": "left",
    "side_sure": "yes",
    "injured_on": INJURED.isoformat(),
    "mechanism": "sprinting",
    "gait": "normal",
    "emergency": "no",
    "urgent": "no",
    "age": "26-35",
    "earlier": "first time",
    "sport": "club team",
    "equipment": EVERYTHING,
    "days": "every day",
    "team": "none",
    "matches": "none",
    "zone": "Berlin",
    "top_speed": "8.5 m/s",
    "consent": "yes",
}
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
