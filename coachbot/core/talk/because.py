"""Puts a reason into words: the rule, what it saw and where its number comes from."""

from coachbot.core.book import COMMON_PRACTICE
from coachbot.core.effects import Word
from coachbot.core.events import Reason
from coachbot.core.turn import Turn

NAMED = {"wanted": "family", "family": "family", "from": "course"}
"""Values of a reason that are keys of texts themselves."""


def because(reason: Reason) -> Word:
    """The reason as one sentence."""
    values = {k: Word(f"{NAMED[k]}.{v}") if k in NAMED else v for k, v in reason.saw.items()}
    return Word(f"because.{reason.rule}", values)


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
