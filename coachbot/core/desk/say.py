"""How an act is put to its function, and how the clinician is told what it did; it decides nothing."""

from dataclasses import dataclass

from coachbot.core.effects import Word
from coachbot.core.events import Other
from coachbot.core.turn import Turn

from .grammar import Rest


@dataclass(frozen=True)
class Bid:
    """Whose act it is, what followed it, the colleague it names (empty: none), its language, other cases."""

    by: str
    rest: Rest
    colleague: str
    language: str
    others: tuple[Other, ...] = ()


def tell(turn: Turn, to: str, key: str, /, **values: object) -> None:
    """Say one line to the clinician; `name` is the athlete's."""
    turn.say(to, Word(key, {"name": turn.state.name, **values}))
