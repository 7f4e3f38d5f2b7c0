"""Moves a case along its course; the table decides the arrows, the guards whether they open."""

from functools import lru_cache

from coachbot.core.book import Handbook
from coachbot.core.events import Reason, Went
from coachbot.core.flow import Course
from coachbot.core.turn import Turn

from .guards import guard


@lru_cache(maxsize=4)
def _course(book: Handbook) -> Course:
    return Course(book.course)


def advance(turn: Turn, trigger: str) -> None:
    """Follow the arrows of this trigger as far as they lead."""
    course = _course(turn.book)
    while (to := course.after(turn.state.course, trigger, guard(turn))) != turn.state.course:
        reason = Reason(rule=f"course.{to}", saw={"from": turn.state.course, "trigger": trigger})
        turn.conclude(Went(at=turn.at, to=to, reason=reason))
