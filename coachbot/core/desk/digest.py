"""The morning digest: who needs the clinician first, what changed, who is missing, then the ordinary; one line each."""

from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta

from coachbot.core.book import Handbook
from coachbot.core.days import days_between, local_day
from coachbot.core.effects import Word
from coachbot.core.rules.safety import quoted
from coachbot.core.state import RUN, State
from coachbot.core.talk.because import because

from . import reviews
from .alerts import waiting
from .views import PLAN, injury_day, pain_line

DAY = timedelta(days=1)
LONGEST = 60
"""How many characters of an athlete's words stand on one line; the case shows them whole."""


def digest(states: Iterable[State], at: datetime, zone: str, book: Handbook) -> tuple[Word, ...]:
    """The day's news at this instant: every athlete stands on one line, holds first."""
    rest = [s for s in states if s.course != "closed"]
    lines: list[Word] = [Word("digest.head", {"day": local_day(at, zone), "n": len(rest)})]
    first = sorted((s for s in rest if s.hold or waiting(s)), key=_urgency)
    lines += _part(Word("digest.first"), [_first(s, at, book) for s in first])
    everyone, rest = rest, [s for s in rest if s not in first]
    lines += _part(Word("digest.decide"), [*_decisions(rest, at), *_reviews(everyone, at)])
    stirred = sorted((s for s in rest if _moved(s, at) or _signs(s, at)), key=lambda s: not _signs(s, at))
    changed = stirred[: int(book.numbers["desk.digest_each"].value)]
    lines += _part(Word("digest.changes"), [_told(s, at, _changed(s, at)) for s in changed])
    rest = [s for s in rest if s not in changed]
    missing = [s for s in rest if _silent(s, at, book)]
    lines += _part(Word("digest.missing"), [_told(s, at, _missing(s, at)) for s in missing])
    ordinary = [s for s in rest if s not in missing]
    return (*lines, *_part(Word("digest.ordinary"), [_told(s, at, _ordinary(s, at, book)) for s in ordinary]))


def _part(head: Word, lines: list[Word]) -> list[Word]:
    return [head, *lines] if lines else []


def _urgency(state: State) -> tuple[bool, bool, datetime]:
    """Holds before all, those that nobody has taken first, the oldest on top."""
    alerts = waiting(state)
    since = [state.hold.since] if state.hold else [a.raised_at for a in alerts]
    return state.hold is None, not alerts, min(since)


def _first(state: State, at: datetime, book: Handbook) -> Word:
    alerts, today, days = waiting(state), local_day(at, state.zone), int(book.numbers["desk.digest_days"].value)
    week = {"n": days, "mornings": pain_line(state, today, days)}
    values = {"name": state.name, "day": injury_day(state, today), **week}
    if state.hold is None:
        flag, words = Word(f"flag.{alerts[0].flag}"), alerts[0].words
        return Word("digest.alert", {**values, "flag": flag, "words": words})
    since = local_day(state.hold.since, state.zone)
    return Word(
        "digest.hold_open" if alerts else "digest.hold",
        {**values, "since": since, "reason": because(state.hold.reason)},
    )


def _told(state: State, at: datetime, line: Word) -> Word:
    """The line, with the score of a check-in that is not finished, and what the athlete wrote last besides."""
    today, score = local_day(at, state.zone), state.answers.get("walking")
    if score and score.day == today and all(morning.day != today for morning in state.mornings):
        line = Word("digest.begun", {"line": line, "score": f"{float(str(score.value)):g}"})
    words = [remark.words for remark in state.remarks if at - DAY < remark.at <= at]
    return Word("digest.wrote", {"line": line, "words": quoted(words[-1:], LONGEST)}) if words else line


def _decisions(states: list[State], at: datetime) -> Iterator[Word]:
    """What waits for a word, grouped: approvals, rises, examinations, signatures."""
    if names := [s.name for s in states if s.course == "screened"]:
        yield Word("digest.decide.approve", {"names": names, "name": names[0]})
    if names := [s.name for s in states if proposed(s)]:
        yield Word("digest.decide.rises", {"names": names, "name": names[0]})
    if names := [s.name for s in states if s.course == "testing"]:
        yield Word("digest.decide.criteria", {"names": names, "name": names[0]})


def _reviews(states: list[State], at: datetime) -> Iterator[Word]:
    """Whom to examine, held cases too, and since when where the day is past."""
    due = [s for s in states if reviews.overdue(s, local_day(at, s.zone))]
    names = [
        Word("digest.overdue", {"name": s.name, "day": s.review})
        if s.review and s.review < local_day(at, s.zone)
        else s.name
        for s in due
    ]
    if due:
        yield Word("digest.decide.reviews", {"names": names, "name": due[0].name})


def proposed(state: State) -> list[str]:
    """The items whose rise waits for a word."""
    rungs = {**state.ladders, **({RUN: state.run} if state.run else {})}
    return [item for item, rung in rungs.items() if rung.proposed is not None or rung.proposed_load is not None]


def _moved(state: State, at: datetime) -> bool:
    return any(at - DAY < move.at <= at for move in state.moves)


def _signs(state: State, at: datetime) -> list[str]:
    """The red flags of the last day, each once, also when they are settled by now."""
    return list(dict.fromkeys(f.flag for f in state.flagged if f.tier != "watch" and at - DAY < f.at <= at))


def _changed(state: State, at: datetime) -> Word:
    """The red flags of the day by name before all that changed."""
    signs = [Word(f"flag.{flag}") for flag in _signs(state, at)]
    if not signs:
        return Word("digest.changed", {"name": state.name, **_change(state, at)})
    change = Word("digest.change_besides", _change(state, at)) if _moved(state, at) else Word("digest.no_more")
    return Word("digest.flagged", {"name": state.name, "signs": signs, "change": change})


def _change(state: State, at: datetime) -> dict[str, object]:
    """The last change of the day, and how many more there were."""
    moves = [move for move in state.moves if at - DAY < move.at <= at]
    move = moves[-1]
    item = Word("digest.item.run") if move.item == RUN else Word("digest.item.course")
    if move.item in state.ladders:
        item = Word(f"family.{move.item}")
    if isinstance(move.to, str):
        came_from, to = (Word(f"course.{place}") for place in (move.came_from, move.to))
        change = Word("digest.change", {"item": item, "from": came_from, "to": to})
    elif move.came_from == move.to:
        change = Word("digest.same", {"item": item, "to": move.to})
    elif move.came_from is None:
        change = Word("digest.begin", {"item": item, "to": move.to})
    else:
        change = Word("digest.change", {"item": item, "from": move.came_from, "to": move.to})
    more = Word("digest.more", {"n": len(moves) - 1}) if len(moves) > 1 else Word("digest.no_more")
    return {"change": change, "reason": because(move.reason), "more": more}


def _silent(state: State, at: datetime, book: Handbook) -> bool:
    """Missing check-ins, or a sign to watch in the last day."""
    watched = any(f.tier == "watch" and at - DAY < f.at <= at for f in state.flagged)
    return watched or _gap(state, at) > book.programme.course.silent_days.value


def _gap(state: State, at: datetime) -> int:
    """Days since the last check-in, or since the programme was approved; 0 while nothing is asked."""
    if state.approved_by is None or state.course_since is None:
        return 0
    last = state.morning.day if state.morning else local_day(state.course_since, state.zone)
    return days_between(last, local_day(at, state.zone))


def _missing(state: State, at: datetime) -> Word:
    watched = [f for f in state.flagged if f.tier == "watch" and at - DAY < f.at <= at]
    sign = Word(f"flag.{watched[-1].flag}") if watched else Word("flag.missed-checkins")
    gap = _gap(state, at)
    if not gap:
        return Word("digest.watched", {"name": state.name, "sign": sign})
    return Word("digest.missed", {"name": state.name, "sign": sign, "n": gap})


def _ordinary(state: State, at: datetime, book: Handbook) -> Word:
    count = int(book.numbers["desk.digest_mornings"].value)
    scores = [m.walking for m in state.mornings[-count:]]
    today = local_day(at, state.zone)
    plan = PLAN[state.announced.get(today, "")]
    course, day = Word(f"course.{state.course}"), injury_day(state, today)
    values = {"name": state.name, "course": course, "day": day, "scores": scores or "–", "plan": plan}
    return Word("digest.line", values)
