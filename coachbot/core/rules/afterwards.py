"""After the return to sport: maintenance, one fast run a week, minutes in play, a lighter rhythm of check-ins."""

from datetime import date, timedelta
from math import floor

from coachbot.core.days import days_between, local_day
from coachbot.core.events import Played, Reason, Run, Scalar, Work
from coachbot.core.state import State
from coachbot.core.turn import Turn

from .monitor import WEEK, fast_metres
from .morning import bounds, usual, verdict
from .wishes import WEEKDAYS

RETURNED = "returned"
STEPS = ("play_1", "play_2", "play_3", "play_4")
PERCENT = 100


def day_of_return(state: State, today: date) -> int | None:
    """Whole days since the signature, None before it."""
    if state.course != RETURNED or state.cleared_at is None:
        return None
    return days_between(local_day(state.cleared_at, state.zone), today)


def asks(turn: Turn, day: date) -> bool:
    """Whether the check-in of this day is asked: on days with a session, every few days, at first on team days too."""
    since = day_of_return(turn.state, day)
    if since is None:
        return True
    morning = turn.state.morning
    if morning is None or days_between(morning.day, day) >= turn.number("afterwards.checkin_gap"):
        return True
    if turn.state.announced.get(day, "rest") != "rest":
        return True
    return since <= turn.number("afterwards.close_days") and _busy(turn.state, day)


def _busy(state: State, day: date) -> bool:
    """Whether a day has team training or a match, or follows one of these or a session: the leg answers then."""
    before = day - timedelta(days=1)
    team = any(_on(state, slot, day) for slot in ("team", "matches")) or _on(state, "matches", before)
    return team or any(session.awaits_morning for session in state.sessions)


def _on(state: State, slot: str, day: date) -> bool:
    named = state.intake.get(slot)
    return isinstance(named, tuple) and WEEKDAYS[day.weekday()] in named


# ---- maintenance and fast running ------------------------------------------------------------------------------


def reminders(turn: Turn) -> tuple[Reason, ...]:
    """What has not been done for too long: hamstring work, or a run near top speed. Never during a hold."""
    if day_of_return(turn.state, turn.today) is None or turn.state.hold:
        return ()
    work, run = _since_work(turn), _since_fast(turn)
    found = []
    if work is not None and work + WEEK > turn.number("afterwards.gap_most"):
        found.append(Reason(rule="after.work_due", saw={"days": float(work)}, number="afterwards.gap_most"))
    if run is not None and run > turn.number("afterwards.run_gap"):
        found.append(Reason(rule="after.run_due", saw={"days": float(run)}, number="afterwards.run_gap"))
    return tuple(found)


def _since_work(turn: Turn) -> int | None:
    """Days since hamstring work was done."""
    days = []
    for session in turn.state.sessions:
        results = [session.results.get(n) for n, line in enumerate(session.lines) if isinstance(line, Work)]
        days += [session.day for r in results if r and r.done]
    return days_between(max(days), turn.today) if days else None


def _since_fast(turn: Turn) -> int | None:
    """Days since a run at the speed that counts as exposure."""
    least, days = turn.number("afterwards.run_at_least"), []
    for session in turn.state.sessions:
        results = [session.results.get(n) for n, line in enumerate(session.lines) if isinstance(line, Run)]
        days += [session.day for r in results if r and r.done and (r.top or 0) >= least]
    return days_between(max(days), turn.today) if days else None


def norm(turn: Turn) -> float | None:
    """The athlete's usual fast metres a week: the mean of the last whole weeks, None without a fast metre in them."""
    count = int(turn.number("afterwards.norm_weeks"))
    last = turn.today - timedelta(days=1)
    total = fast_metres(turn, last - timedelta(days=count * WEEK - 1), last)
    return total / count if total else None


def within(planned: float, usual_metres: float, rise: float) -> bool:
    """Whether fast metres of a week stay within the rise (%) over the athlete's own usual week."""
    return planned <= usual_metres * (1 + rise / PERCENT)


def allowed(turn: Turn, line: Run, each: float) -> Run:
    """The run with as many run-throughs as this week's fast metres allow, at least one; `each` is metres of one."""
    own = norm(turn)
    if day_of_return(turn.state, turn.today) is None or own is None or not each:
        return line
    rise = turn.number("running_maths.fast_metres_rise")
    done = fast_metres(turn, turn.today - timedelta(days=WEEK - 1), turn.today)
    if within(done + each * line.repetitions, own, rise):
        return line
    fits = floor((own * (1 + rise / PERCENT) - done) / each)
    saw: dict[str, Scalar] = {"usual": round(own), "rise": rise}
    reason = Reason(rule="after.fewer_runs", saw=saw, number="running_maths.fast_metres_rise")
    return line.model_copy(update={"repetitions": max(fits, 1), "reason": reason})


# ---- minutes in play -------------------------------------------------------------------------------------------


def match_on(turn: Turn, day: date) -> bool:
    """Whether this local day is a match day after the return."""
    since = day_of_return(turn.state, day)
    return since is not None and since >= 0 and _on(turn.state, "matches", day)


def played(turn: Turn, minutes: float) -> None:
    """Record the minutes of yesterday's match and whether this morning agrees with them."""
    morning = turn.state.morning
    assert morning is not None, "minutes are told within a check-in"
    rule = bounds(turn)
    before = [m.walking for m in turn.state.mornings if m.day < turn.today]
    base = usual(before, rule.base_mornings) if before else morning.walking
    quiet = verdict(morning.walking, base, rule)[0] == "counts" and not morning.masked and not morning.sudden
    turn.conclude(Played(at=turn.at, day=turn.today - timedelta(days=1), minutes=minutes, quiet=quiet))


def most_minutes(turn: Turn) -> float:
    """Minutes in play to aim at in the next match: a step up after each match that the morning agreed with."""
    step = 0
    for match in turn.state.played:
        reached = match.minutes >= turn.number(f"afterwards.{STEPS[max(step - 1, 0)]}")
        if match.quiet and match.minutes and (reached or step == 0):
            step = min(step + 1, len(STEPS) - 1)
        elif not match.quiet:
            step = max(step - 1, 0)
    return turn.number(f"afterwards.{STEPS[step]}")


# ---- watch -----------------------------------------------------------------------------------------------------


def watch_over(turn: Turn) -> bool:
    """Whether the close watch after the return is over and nobody was told yet."""
    since = day_of_return(turn.state, turn.today)
    over = since is not None and since >= turn.value(turn.book.programme.course.watch_days)
    return over and "watch" not in turn.state.prompts
