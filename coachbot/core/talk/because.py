"""Puts a reason into words: the rule, what it saw and where its number comes from."""

from datetime import date

from coachbot.core.book import COMMON_PRACTICE, Handbook
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
    """Answer "why": what the athlete told this morning, then every reason of the last decision with its source."""
    if not turn.state.reasons:
        return turn.reply("why.nothing")
    morning = turn.state.morning
    if morning is not None and morning.day == turn.today:
        turn.reply("why.you_said", walking=morning.walking, sudden=morning.sudden)
    latest = turn.state.reasons[-1][0]
    reasons = _distinct([r for at, r in turn.state.reasons if at == latest])
    for reason in [r for r in reasons if not r.rule.startswith("course.")] or reasons:
        turn.reply("why.line", reason=because(reason), source=source(turn.book, reason))
    return None


def source(book: Handbook, reason: Reason) -> Word:
    """Where a reason comes from: a paper, common practice, or a rule of the programme without a number."""
    grounds = book.grounds(reason.number)
    if grounds is None:
        return Word("why.rule")
    key, why = grounds
    if key == COMMON_PRACTICE:
        return Word("why.common_practice", {"why": why})
    paper = book.sources[key]
    first, *more = paper.authors.split(", ")
    authors = Word("why.authors", {"first": first}) if len(more) > 1 else paper.authors
    return Word("why.source", {"authors": authors, "year": str(paper.year), "why": why})


def _distinct(reasons: list[Reason]) -> list[Reason]:
    """Each reason once: the same rule that saw the same things is one reason."""
    return list({(r.rule, tuple(r.saw.items())): r for r in reversed(reasons)}.values())[::-1]
