"""What a clinician sees of the caseload and of one case, as rows of a label and a value; it changes nothing."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from coachbot.core.days import days_between, local_day
from coachbot.core.effects import Word
from coachbot.core.events import Run
from coachbot.core.rules.safety import quoted
from coachbot.core.state import IDLE, RUN, Session, State
from coachbot.core.talk.because import because, item_word
from coachbot.core.talk.engine import question
from coachbot.core.turn import Turn

from . import reviews
from .alerts import waiting

MORNINGS = 14
"""How many days the pain line shows, one place a day."""
LAST = 5
"""How many answers, notes and reasons one screen shows."""
GAP = "·"
"""A day without a score: a gap is shown and never filled."""


PLAN = {
    "rest": Word("plan.rest"),
    "strength": Word("plan.strength"),
    "run": Word("plan.run"),
    "both": Word("plan.both"),
    "": Word("plan.nothing"),
}
"""What a day of the week holds."""


@dataclass(frozen=True)
class Row:
    """One line of a screen; a channel with tables shows two columns, a chat one line."""

    label: Word
    value: object


def text(rows: Iterable[Row]) -> tuple[Word, ...]:
    """The rows as lines of a message."""
    return tuple(Word("case.row", {"label": row.label, "value": row.value}) for row in rows)


def caseload(states: Iterable[State]) -> tuple[Word, ...]:
    """A line a case: open alerts first, then holds, then the rest by name."""
    order = sorted(states, key=lambda s: (not waiting(s), s.hold is None, s.name))
    return tuple(_line(state) for state in order) or (Word("desk.nobody"),)


def owned(states: Iterable[State]) -> tuple[Word, ...]:
    """Who has which case, by name; nothing of how anybody is, not even by the order."""
    lines = (Word("caseload.owned", {"name": s.name, "clinicians": s.clinicians}) for s in states)
    return tuple(lines) or (Word("desk.nobody"),)


def _line(state: State) -> Word:
    scores = [m.walking for m in state.mornings[-3:]]
    alerts = waiting(state)
    mark = Word("mark.alert", {"flag": Word(f"flag.{alerts[0].flag}")}) if alerts else Word("mark.none")
    if state.hold and not alerts:
        mark = Word("mark.hold")
    course = Word(f"course.{state.course}")
    return Word("caseload.line", {"name": state.name, "course": course, "scores": scores or "–", "mark": mark})


def case(turn: Turn) -> tuple[Row, ...]:
    """One case on one screen."""
    state = turn.state
    parts = (_where(state, turn.at), _alarm(state), _training(state), _words(turn), _people(state, turn.at))
    return tuple(row for part in parts for row in part)


def _where(state: State, at: datetime) -> Iterator[Row]:
    today = local_day(at, state.zone)
    yield Row(Word("case.name"), state.name)
    yield Row(Word("case.day"), injury_day(state, today))
    yield Row(Word("case.course"), Word(f"course.{state.course}"))
    yield Row(Word("case.pain"), pain_line(state, today))


def injury_day(state: State, today: date) -> str:
    """Days since the injury; a dash before its date is known."""
    told = state.intake.get("injured_on")
    return str(days_between(date.fromisoformat(told), today)) if isinstance(told, str) else "–"


def pain_line(state: State, today: date, count: int = MORNINGS) -> str:
    """The morning scores of the last days, oldest first, a dot for each day without one."""
    scores = {m.day: m.walking for m in state.mornings}
    days = [today - timedelta(days=n) for n in range(count - 1, -1, -1)]
    return " ".join(f"{scores[day]:g}" if day in scores else GAP for day in days)


def _alarm(state: State) -> Iterator[Row]:
    if state.hold:
        yield Row(Word("case.hold"), because(state.hold.reason))
    for alert in waiting(state):
        values = {"alert": alert.alert, "flag": Word(f"flag.{alert.flag}"), "words": alert.words, "to": alert.to}
        yield Row(Word("case.alert"), Word("case.alert_value", values))
    for alert in state.alerts.values():
        unsettled = alert.taken_by is None or (state.hold is not None and alert.raised_at >= state.hold.since)
        if alert.said and unsettled:
            yield Row(Word("case.said"), quoted(alert.said))


def _training(state: State) -> Iterator[Row]:
    for item in (*state.ladders, *((RUN,) if state.run else ())):
        yield Row(Word("case.run") if item == RUN else Word(f"family.{item}"), _rung(item, state))
    if state.session and state.session.lines:
        values = {"day": state.session.day, "n": len(state.session.lines)}
        yield Row(Word("case.session"), Word("case.session_value", values))
        yield from _told(state.session)
    if state.announced and not state.hold:
        days = tuple(Word("case.week_day", {"day": d, "plan": PLAN[k]}) for d, k in sorted(state.announced.items()))
        yield Row(Word("case.week"), days)


def _told(session: Session) -> Iterator[Row]:
    """What was told of the session, line by line, in the athlete's own words."""
    told = sorted(session.results.items())
    items = ((RUN if isinstance(line := session.lines[n], Run) else line.family, result) for n, result in told)
    lines = tuple(Word("case.told_line", {"item": item_word(item), "words": each.words}) for item, each in items)
    if lines:
        yield Row(Word("case.told"), lines)


def _rung(item: str, state: State) -> Word:
    rung = state.rung(item)
    assert rung is not None, "only ladders that were begun are shown"
    if item == RUN:
        level = Word("case.speed", {"level": rung.level})
    else:
        level = Word("case.level", {"level": rung.level})
    if rung.proposed is not None:
        return Word("case.proposed", {"level": level, "to": rung.proposed})
    return level


def _words(turn: Turn) -> Iterator[Row]:
    answers = sorted(turn.state.answers.values(), key=lambda a: a.at)[-LAST:]
    if answers:
        yield Row(Word("case.answers"), tuple(Word("case.quote", {"words": a.words}) for a in answers))
    if turn.state.talk.topic != IDLE:
        yield Row(Word("case.open_question"), question(turn))
    for remark in turn.state.remarks[-LAST:]:
        values = {"day": local_day(remark.at, turn.state.zone), "words": quoted((remark.words,))}
        yield Row(Word("case.remark"), Word("case.remark_value", values))


def _people(state: State, at: datetime) -> Iterator[Row]:
    late = state.review is not None and state.review < local_day(at, state.zone) and state.course not in reviews.DONE
    yield Row(Word("case.review"), Word("case.overdue", {"day": state.review}) if late else state.review or "–")
    yield Row(Word("case.list"), state.clinicians)
    for note in state.notes[-LAST:]:
        yield Row(Word("case.note"), Word("case.note_value", {"who": note.by, "note": note.note}))
    for cause in state.reasons[-LAST:]:
        values = {"day": local_day(cause.at, state.zone), "reason": because(cause.reason)}
        about = Word("case.reason_about", {**values, "item": item_word(cause.about)}) if cause.about else None
        yield Row(Word("case.reason"), about or Word("case.reason_value", values))
