"""The last weeks of one athlete as a picture, and as words that say the same; it judges nothing."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from io import BytesIO
from typing import Any

from coachbot.core.book import Handbook
from coachbot.core.days import local_day
from coachbot.core.effects import Word
from coachbot.core.speak import Texts, say
from coachbot.core.state import COURSE, RUN, Move, State

SPAN = timedelta(weeks=6)
SIZE = (8.0, 6.0)  # inches
DPI = 110
SCALE_TOP = 10  # of the pain scale, by definition


def words(state: State, at: datetime, book: Handbook) -> tuple[Word, ...]:
    """A line for the pain of the mornings, one for where each ladder and the running stand, one for the course."""
    mornings = _mornings(state, at)
    scores: object = [f"{day:%d.%m.} {score:g}" for day, score in mornings] or "–"
    head = Word("weeks.head", {"name": state.name, "weeks": SPAN.days // 7})
    pain = Word("weeks.pain", {"scores": scores, "limit": limit(state, book)})
    levels = [Word("weeks.level", {"item": _item(item), "level": rung.level}) for item, rung in _rungs(state).items()]
    return (head, pain, *levels, Word("weeks.course", {"course": Word(f"course.{state.course}")}))


def limit(state: State, book: Handbook) -> float:
    """The pain limit of this athlete: a clinician's, else the programme's."""
    number = book.programme.pain.limit
    return float(state.limits.get(number.key, number.value))


def draw(state: State, at: datetime, book: Handbook) -> bytes:
    """The picture as PNG. Raises ImportError where matplotlib is not installed."""
    from matplotlib.figure import Figure  # no window and no state of its own: safe beside everything else

    figure = Figure(figsize=SIZE, dpi=DPI, layout="constrained")
    pain, levels = figure.subplots(2, 1, sharex=True)
    texts = book.texts[state.language]
    _pain(pain, state, at, texts)
    pain.axhline(limit(state, book), linestyle="--")
    _levels(levels, state, at, texts)
    figure.autofmt_xdate()
    out = BytesIO()
    figure.savefig(out, format="png")
    return out.getvalue()


def _pain(axes: Any, state: State, at: datetime, texts: Texts) -> None:
    days = _mornings(state, at)
    axes.plot([day for day, _ in days], [score for _, score in days], marker="o", linestyle="none")
    axes.set_ylim(0, SCALE_TOP)
    axes.set_title(_plain(say(Word("weeks.pain_title"), texts)))
    for move in _moves(state, at):
        if move.item == COURSE:
            axes.axvline(local_day(move.at, state.zone), linewidth=0.5)
            label = _plain(say(Word(f"course.{move.to}"), texts))
            axes.text(local_day(move.at, state.zone), SCALE_TOP, label, rotation=90, va="top", fontsize=7)


def _levels(axes: Any, state: State, at: datetime, texts: Texts) -> None:
    axes.set_title(_plain(say(Word("weeks.level_title"), texts)))
    for item in _rungs(state):
        steps = [(local_day(m.at, state.zone), float(m.to)) for m in _moves(state, at) if m.item == item]
        if item != RUN and steps:
            days = [*(day for day, _ in steps), local_day(at, state.zone)]
            label = _plain(say(_item(item), texts))
            axes.step(days, [*(to for _, to in steps), steps[-1][1]], where="post", label=label)
    if axes.get_legend_handles_labels()[0]:
        axes.legend(fontsize=7)


def _plain(text: str) -> str:
    """A dollar sign would begin a formula."""
    return text.replace("$", r"\$")


def _mornings(state: State, at: datetime) -> list[tuple[date, float]]:
    first = local_day(at - SPAN, state.zone)
    return [(morning.day, morning.walking) for morning in state.mornings if morning.day >= first]


def _moves(state: State, at: datetime) -> Iterator[Move]:
    return (move for move in state.moves if move.at >= at - SPAN)


def _rungs(state: State) -> dict[str, Any]:
    return {**state.ladders, **({RUN: state.run} if state.run else {})}


def _item(item: str) -> Word:
    return Word("weeks.running") if item == RUN else Word(f"family.{item}")
