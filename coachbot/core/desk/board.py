"""The team's board: whether each athlete can train, while their consent stands; nothing else of them."""

from collections.abc import Iterable

from coachbot.core.book import Handbook
from coachbot.core.effects import Word
from coachbot.core.events import Run
from coachbot.core.state import State

REHABILITATION = ("approved", "early", "building")
FULL = "returned"
UNSEEN = ("closed",)


def board(states: Iterable[State], book: Handbook) -> tuple[Word, ...]:
    """A line for each athlete who shares it; scores, signs, words and tests never stand here."""
    shared = sorted((s for s in states if s.shares and s.course not in UNSEEN), key=lambda s: s.name.lower())
    lines = tuple(_line(state, book) for state in shared)
    return (Word("board.head"), *lines) if lines else (Word("board.nobody"),)


def _line(state: State, book: Handbook) -> Word:
    review = Word("board.review", {"day": state.review}) if state.review else Word("board.review_pending")
    return Word("board.line", {"name": state.name, "can": availability(state, book), "review": review})


def availability(state: State, book: Handbook) -> Word:
    """Full, modified with its limits, rehabilitation only, or unavailable."""
    if state.hold or state.approved_by is None:
        return Word("board.unavailable")
    if state.course == FULL:
        return Word("board.full")
    if state.course in REHABILITATION:
        return Word("board.rehabilitation")
    speed = _speed(state)
    limit = Word("board.no_running") if speed is None else Word("board.speed", {"percent": speed})
    return Word("board.modified", {"limits": limit})


def _speed(state: State) -> float | None:
    """The fastest running allowed today, in % of own top speed."""
    runs = [line.up_to for session in state.sessions[-1:] for line in session.lines if isinstance(line, Run)]
    return max(runs, default=state.run.level if state.run else None)
