"""Dates of reviews: one is always set once a programme is approved; it judges no finding."""

from datetime import date, timedelta

from coachbot.core.events import Reviewed, ReviewPlanned
from coachbot.core.rules.safety import COACH, day_of_injury
from coachbot.core.state import State
from coachbot.core.turn import Turn

from .say import Bid, tell as _tell
from .when import coming

DONE = ("enrolled", "screened", "closed")
"""States of the course in which no review is due."""


def first(turn: Turn) -> None:
    """The examination about day 7 tells most (Jacobsen 2016); after that day, a week from now."""
    day, wanted = day_of_injury(turn), int(turn.value(turn.book.programme.course.review_day))
    wait = wanted - day if day is not None and day < wanted else _every(turn)
    turn.conclude(ReviewPlanned(at=turn.at, by=COACH, day=turn.today + timedelta(days=wait), note=""))


def _every(turn: Turn) -> int:
    return int(turn.value(turn.book.numbers["desk.review_every"]))


def plan(turn: Turn, bid: Bid) -> None:
    """Set the date of the next review."""
    day, rest = coming(bid.rest, turn.today, turn.book.texts[bid.language])
    if day is None:
        return _tell(turn, bid.by, "desk.review_how")
    turn.conclude(ReviewPlanned(at=turn.at, by=bid.by, day=day, note=rest.note))
    turn.reply("review.athlete", who=bid.by, day=day)
    return _tell(turn, bid.by, "desk.review", day=day)


def done(turn: Turn, bid: Bid) -> None:
    """Record an examination, and set the next date: the one named after "next", else the usual distance."""
    turn.conclude(Reviewed(at=turn.at, by=bid.by, note=bid.rest.note))
    day = _named(turn, bid) or turn.today + timedelta(days=_every(turn))
    turn.conclude(ReviewPlanned(at=turn.at, by=bid.by, day=day, note=""))
    _tell(turn, bid.by, "desk.reviewed", day=day)


def _named(turn: Turn, bid: Bid) -> date | None:
    at = bid.rest.where(bid.rest.words["next"])
    return coming(at, turn.today, turn.book.texts[bid.language])[0] if at else None


def overdue(state: State, today: date) -> bool:
    """Whether the case is one to examine today or before."""
    return state.course not in DONE and state.review is not None and state.review <= today
