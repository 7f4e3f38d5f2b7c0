"""Puts a reason into words: the rule, what it saw and where its number comes from."""

from datetime import date

from coachbot.core.book import COMMON_PRACTICE
from coachbot.core.effects import Word
from coachbot.core.events import Reason, Scalar
from coachbot.core.turn import Turn

NAMED = {"wanted": "family", "family": "family", "from": "course"}
"""Values of a reason that are keys of texts themselves."""


DATED = frozenset({"day"})
"""Values of a reason that are days, kept as ISO text."""


def because(reason: Reason) -> Word:
    """The reason as one sentence."""
    return Word(f"because.{reason.rule}", {key: _shown(key, value) for key, value in reason.saw.items()})


def _shown(key: str, value: Scalar) -> object:
    if key in NAMED:
        return Word(f"{NAMED[key]}.{value}")
    return date.fromisoformat(value) if key in DATED and isinstance(value, str) else value


def why(turn: Turn) -> None:
    """Answer "why": every reason of the last decision, each with its source."""
    if not turn.state.reasons:
        return turn.reply("why.nothing")
    latest = turn.state.reasons[-1][0]
    for reason in _distinct([r for at, r in turn.state.reasons if at == latest]):
        turn.reply("why.line", reason=because(reason), source=_source(turn, reason))
    return None


def _distinct(reasons: list[Reason]) -> list[Reason]:
    return [r for n, r in enumerate(reasons) if r not in reasons[:n]]


def _source(turn: Turn, reason: Reason) -> Word:
    number = turn.book.numbers.get(reason.number or "")
    if number is None:
        return Word("why.rule")
    if number.source == COMMON_PRACTICE:
        return Word("why.common_practice", {"why": number.why})
    source = turn.book.sources[number.source]
    return Word("why.source", {"authors": source.authors, "year": str(source.year), "why": number.why})
