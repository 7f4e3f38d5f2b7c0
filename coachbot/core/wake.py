"""What the clock makes due: check-in, report, silence and alerts; timers are state, so a restart loses none."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from .book import Handbook
from .days import days_between, instant, local_day
from .desk import alerts, reviews
from .effects import CLINICIANS, Word
from .events import Prompted, Resumed
from .rules import afterwards
from .rules.safety import injury_day, raise_flag
from .state import IDLE, State
from .talk import engine, morning, relay, report, watch
from .talk.ends import WAITS
from .turn import Turn

ASLEEP = ("enrolled", *WAITS)
"""States of the course in which the athlete is not asked anything unasked."""


@dataclass(frozen=True)
class Timer:
    """One thing that becomes due at an instant."""

    at: datetime
    ring: Callable[[Turn], None]


def next_wake(state: State, book: Handbook) -> datetime | None:
    """The instant of the next thing due, None when nothing is. A past instant means: at once."""
    return min((timer.at for timer in timers(state, book)), default=None)


def wake(turn: Turn) -> None:
    """Do all that is due at the turn's instant."""
    for timer in timers(turn.state, turn.book):
        if timer.at <= turn.at:
            timer.ring(turn)


def timers(state: State, book: Handbook) -> list[Timer]:
    """Everything that will become due if nothing else happens."""
    due = [Timer(alerts.following(a, state, book).at, alerts.repeat) for a in alerts.waiting(state)[:]]
    due += _doubt(state, book)
    if (gathered := relay.due(state, book)) is not None:
        due.append(Timer(gathered, relay.flush))
    due += _review(state, book)
    if state.course not in ASLEEP:
        due += _day(state, book)
    return due


def _value(state: State, book: Handbook, name: str) -> float:
    number = getattr(book.programme.course, name)
    return float(state.limits.get(number.key, number.value))


def _doubt(state: State, book: Handbook) -> list[Timer]:
    """A closed question about a possible red flag does not wait for ever."""
    if state.talk.dialog != watch.DOUBT or state.talk.asked_at is None:
        return []
    wait = timedelta(hours=_value(state, book, "doubt_wait"))
    return [Timer(state.talk.asked_at + wait, watch.give_up)]


def _day(state: State, book: Handbook) -> list[Timer]:
    """The rhythm of the day: the check-in, once more, the report; the next free label of each."""
    assert state.course_since is not None, "an approved case has moved along its course"
    start = _first_day(state.course_since, state, book)
    asked = state.prompts.get("morning")
    answered = state.morning.day if state.morning else None
    free = max(start, *(d + timedelta(days=1) for d in (asked, answered) if d is not None), start)
    due = [Timer(_at(state, book, _asked_next(state, book, free), "checkin_hour"), _ask_morning)]
    if asked and answered != asked and state.prompts.get("again") != asked and _silent(state, asked):
        due.append(Timer(_reminder(state, book, asked), _ask_again))
    session = state.session
    if session and session.open and state.prompts.get("report") != session.day and not state.hold:
        due.append(Timer(_at(state, book, session.day, "report_hour"), _ask_report))
    if session and session.open:
        due.append(Timer(_at(state, book, session.day + timedelta(days=1), "checkin_hour"), _let_go))
    return due


def _asked_next(state: State, book: Handbook, free: date) -> date:
    """The first day from `free` on that has a check-in: before the return every day has one."""
    if state.course != afterwards.RETURNED:
        return free
    look = Turn(state, book, instant(free, 0, state.zone))
    days = (free + timedelta(days=n) for n in range(int(look.number("afterwards.checkin_gap"))))
    return next((day for day in days if afterwards.asks(look, day)), free)


def _first_day(since: datetime, state: State, book: Handbook) -> date:
    """The day itself, or the next one when the morning is over: in the evening nobody is asked about the morning."""
    day = local_day(since, state.zone)
    return day if since <= _reminder(state, book, day) else day + timedelta(days=1)


def _reminder(state: State, book: Handbook, day: date) -> datetime:
    """When a question without an answer is asked once more: some hours after it was due, and after it was asked."""
    wait = _value(state, book, "ask_again_after")
    due = instant(day, _value(state, book, "checkin_hour") + wait, state.zone)
    asked = state.talk.asked_at
    return due if asked is None or local_day(asked, state.zone) != day else max(due, asked + timedelta(hours=wait))


def _at(state: State, book: Handbook, day: date, hour: str) -> datetime:
    return instant(day, _value(state, book, hour), state.zone)


def _silent(state: State, day: date) -> bool:
    return state.heard_at is None or local_day(state.heard_at, state.zone) < day


def _quiet(turn: Turn) -> bool:
    """Whether it is too late in the evening to remind anybody."""
    quiet = instant(turn.today, _value(turn.state, turn.book, "quiet_from"), turn.state.zone)
    return turn.at >= quiet


def _ask_morning(turn: Turn) -> None:
    turn.conclude(Prompted(at=turn.at, what="morning", day=turn.today))
    if turn.state.session and turn.state.session.open:
        _let_go(turn)
    morning.left(turn)
    _silence(turn)
    if not _quiet(turn):
        _begin_day(turn)


def _begin_day(turn: Turn) -> None:
    """A new day begins with its check-in; only an open question about a possible red flag goes before it."""
    while turn.state.talk.topic != IDLE and turn.state.talk.dialog != watch.DOUBT:
        turn.conclude(Resumed(at=turn.at))
    if turn.state.talk.topic == IDLE:
        engine.begin(turn, "morning")
    else:
        engine.ask(turn)


def _review(state: State, book: Handbook) -> list[Timer]:
    """A review is asked for once on its day, at the hour of the check-in."""
    if state.review is None or state.course in reviews.DONE or state.prompts.get("exam", date.min) >= state.review:
        return []
    return [Timer(_at(state, book, state.review, "checkin_hour"), _ask_review)]


def _ask_review(turn: Turn) -> None:
    turn.conclude(Prompted(at=turn.at, what="exam", day=turn.today))
    values = {"name": turn.state.name, "day": injury_day(turn)}
    turn.say(CLINICIANS, Word("clinician.review_due" if turn.state.reviewed_at else "clinician.exam_due", values))


def _ask_again(turn: Turn) -> None:
    turn.conclude(Prompted(at=turn.at, what="again", day=turn.today))
    if not _quiet(turn):
        turn.reply("morning.again")
        engine.ask(turn)


def _ask_report(turn: Turn) -> None:
    turn.conclude(Prompted(at=turn.at, what="report", day=turn.today))
    if not _quiet(turn) and turn.state.talk.topic == IDLE:
        turn.reply("report.asked")
        engine.begin(turn, "report")


def _let_go(turn: Turn) -> None:
    """A day that passed without the whole report: what was told of it stays, and nothing is assumed of the rest."""
    session = turn.state.session
    if session and session.open and session.day < turn.today:
        report.break_off(turn, sudden=False, said=False)


def _silence(turn: Turn) -> None:
    """Days without a check-in: silence is not improvement. The clinician sees it; the athlete gets a kind word."""
    state = turn.state
    assert state.course_since is not None, "an approved case has moved along its course"
    last = state.morning.day if state.morning else _first_day(state.course_since, state, turn.book) - timedelta(days=1)
    silent = days_between(last, turn.today) - 1
    returned = state.course == afterwards.RETURNED
    most = turn.number("afterwards.silent_days") if returned else _value(state, turn.book, "silent_days")
    if silent >= most and state.prompts.get("silent", last) <= last:
        turn.conclude(Prompted(at=turn.at, what="silent", day=turn.today))
        raise_flag(turn, "missed-checkins", str(silent))
        turn.reply("morning.missed", n=silent)
