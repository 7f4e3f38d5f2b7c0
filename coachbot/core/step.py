"""The one function to understand: an arrival and the state go in, facts and wishes come out."""

from typing import assert_never

from .book import Handbook
from .desk.acts import act, intend
from .events import Acted, Arrival, Heard, Intended, Ticked
from .state import State
from .talk.engine import hear
from .turn import Step, Turn
from .wake import next_wake, wake

__all__ = ["Step", "next_wake", "step"]


def step(state: State, arrival: Arrival, book: Handbook) -> Step:
    """What follows from one arrival. Pure: the same input gives the same step; an empty step means nothing happened.

    `book.languages` must hold the athlete's language before a message is heard.
    """
    turn = Turn(state, book, arrival.at)
    turn.conclude(arrival)
    match arrival:
        case Heard():
            hear(turn, arrival)
        case Acted():
            act(turn, arrival)
        case Intended():
            intend(turn, arrival)
        case Ticked():
            wake(turn)
        case _:
            assert_never(arrival)
    done = turn.finish()
    idle = isinstance(arrival, Ticked) and len(done.facts) == 1
    return Step() if idle else done
