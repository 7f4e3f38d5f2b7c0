"""One step in the making: it gathers facts and wishes and keeps the state they lead to; it decides nothing."""

from dataclasses import dataclass
from datetime import date, datetime

from .book import Handbook, Sourced
from .days import local_day
from .effects import ATHLETE, Alert, Effect, Say, Word
from .events import Event
from .state import State, apply


@dataclass(frozen=True)
class Step:
    """Facts (the arrival first, then conclusions) and the wishes they cause. Empty: nothing happened."""

    facts: tuple[Event, ...] = ()
    effects: tuple[Effect, ...] = ()


class Turn:
    """The workbench of one step: conclusions are applied as they are drawn, so later rules see them.

    `asks` says whether the reply ends in a question.
    """

    def __init__(self, state: State, book: Handbook, at: datetime) -> None:
        self.state = state
        self.book = book
        self.at = at
        self._facts: list[Event] = []
        self._effects: list[Effect] = []
        self._reply: list[Word] = []
        self.asks = False

    @property
    def today(self) -> date:
        """The athlete's local day."""
        return local_day(self.at, self.state.zone)

    def value(self, number: Sourced) -> float:
        """The number as the clinician set it for this athlete, else the handbook's."""
        return self.state.limits.get(number.key, number.value)

    def number(self, key: str) -> float:
        """The value at an address (``trend.window``), as the clinician set it for this athlete or the handbook's."""
        return self.value(self.book.numbers[key])

    def conclude(self, fact: Event) -> None:
        """Draw a conclusion: the one door through which a step changes the state."""
        self._facts.append(fact)
        self.state = apply(self.state, fact)

    def reply(self, key: str, /, **values: object) -> None:
        """Add a line to the one message the athlete gets for this turn."""
        self._reply.append(Word(key, values))

    def say(self, to: str, *words: Word) -> None:
        """Wish a message of its own to an audience or a clinician."""
        self._effects.append(Say(to, words))

    def alert(self, alert: Alert) -> None:
        """Wish an alert."""
        self._effects.append(alert)

    def finish(self) -> Step:
        """The step as a whole; the athlete's reply is one message."""
        reply = (Say(ATHLETE, tuple(self._reply), self.asks),) if self._reply else ()
        return Step(tuple(self._facts), (*reply, *self._effects))
