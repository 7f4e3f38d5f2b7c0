"""Puts a reason into words: the rule, what it saw and where its number comes from."""

from collections.abc import Iterable, Iterator
from datetime import date

from coachbot.core.book import COMMON_PRACTICE, Handbook
from coachbot.core.effects import Word
from coachbot.core.events import Reason, Scalar
from coachbot.core.parts import RUN, Cause
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
    latest = turn.state.reasons[-1].at
    causes = [cause for cause in turn.state.reasons if cause.at == latest]
    for word in lines([c for c in causes if not c.reason.rule.startswith("course.")] or causes, turn.book):
        turn.reply(word.key, **word.values)
    return None


def lines(causes: Iterable[Cause], book: Handbook) -> Iterator[Word]:
    """Each reason once with its source, and the exercises it is about: what saw the same things is one reason."""
    about: dict[tuple[str, tuple[tuple[str, Scalar], ...]], tuple[Reason, list[str]]] = {}
    for cause in causes:
        key = (cause.reason.rule, tuple(cause.reason.saw.items()))
        about.setdefault(key, (cause.reason, []))[1].append(cause.about)
    for reason, items in about.values():
        values = {"reason": because(reason), "source": source(book, reason)}
        named = tuple(item_word(item) for item in dict.fromkeys(items) if item)
        yield Word("why.line_about", {**values, "items": named}) if named else Word("why.line", values)


def item_word(item: str) -> Word:
    """The name of a ladder family, or of the run."""
    return Word("digest.item.run") if item == RUN else Word(f"family.{item}")


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
