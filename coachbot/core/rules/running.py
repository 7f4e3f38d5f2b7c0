"""The running stages: a step up when the morning agrees, two down on pain; fast running waits for a clinician."""

from datetime import timedelta

from coachbot.core.book import Stage
from coachbot.core.effects import CLINICIANS, Word
from coachbot.core.events import Passed, Reason, Run, Scalar, Stepped, Tallied, Topped, Trained
from coachbot.core.state import RUN, Rung, Session
from coachbot.core.turn import Turn

from .ladder import calm, rise, tally
from .safety import raise_flag, rises_blocked

FAST = "fast"
WAITS = "run.waits_for_word"


def speeds(turn: Turn, stage: Stage) -> list[float]:
    """The speeds of a stage, slowest first, in % of own top speed."""
    first, last, step = turn.value(stage.first), turn.value(stage.last), turn.value(stage.step)
    count = round((last - first) / step)
    return [*(first + n * step for n in range(count)), last]


def every_speed(turn: Turn) -> list[float]:
    """All speeds of the programme in order; where the bounds of two stages meet a speed stands once."""
    return sorted({speed for stage in turn.book.stages for speed in speeds(turn, stage)})


def stage_of(turn: Turn, percent: float) -> Stage:
    """The stage a speed belongs to."""
    return next(stage for stage in turn.book.stages if percent <= turn.value(stage.last))


def is_fast(turn: Turn, percent: float) -> bool:
    """Whether this speed is fast running, which needs the clinician's word."""
    return percent > turn.value(turn.book.programme.running.fast_above)


def wants_gap(turn: Turn, percent: float) -> bool:
    """Whether a run up to this speed counts as a fast session, which keeps its gap: the bound itself counts."""
    return percent >= turn.value(turn.book.programme.running.fast_above)


def open_speed(turn: Turn, percent: float) -> float:
    """The speed that may be run today: no fast one before a clinician opened it, whatever was waived."""
    if not is_fast(turn, percent) or FAST in turn.state.opened:
        return percent
    return max(speed for speed in every_speed(turn) if not is_fast(turn, speed))


def farthest(turn: Turn, percent: float) -> float:
    """How fast today's last run-throughs may be: some steps on, never out of the stage, never into fast running."""
    stage = stage_of(turn, percent)
    above = [speed for speed in speeds(turn, stage) if speed > percent and not is_fast(turn, speed)]
    reach = above[: int(turn.value(stage.most_steps_up))]
    return reach[-1] if reach and not turn.state.signed else percent


def stop_pain(turn: Turn, percent: float) -> float:
    """Pain above this ends the fast part of a run; never more than the athlete's own limit."""
    pain = turn.book.programme.pain
    limit = turn.value(pain.limit)
    return min(turn.value(pain.fast_stop), limit) if is_fast(turn, percent) else limit


def reported(turn: Turn, line: Run, result: Trained) -> None:
    """What a report changes at once: pain over the limit goes two steps down and waits a day."""
    rung = turn.state.run
    if rung is None or result.pain is None:
        return None
    running = turn.book.programme.running
    saw: dict[str, Scalar] = {"pain": result.pain, "limit": stop_pain(turn, line.percent)}
    if result.pain <= stop_pain(turn, line.percent):
        return calm(turn, RUN, saw) if result.done else None
    reason = Reason(rule="run.over_limit", saw=saw, number="running.steps_down")
    wait = turn.at + timedelta(hours=turn.value(running.gap_after_pain))
    turn.conclude(Tallied(at=turn.at, item=RUN, passes=0, over=rung.over + 1, not_before=wait, reason=reason))
    every = every_speed(turn)
    down = max(_place(every, min(rung.level, line.percent)) - int(turn.value(running.steps_down)), 0)
    turn.conclude(Stepped(at=turn.at, item=RUN, to=every[down], reason=reason))
    if rung.over + 1 >= turn.value(turn.book.programme.strength.over_limit_twice):
        raise_flag(turn, "over-limit-twice", result.words, pain=result.pain)
    return None


def judged(turn: Turn, session: Session) -> None:
    """What a session that counts earns on the run."""
    for number, result in session.results.items():
        line = session.lines[number]
        rung = turn.state.run
        if isinstance(line, Run) and rung and result.done and line.percent == rung.level:
            _earn(turn, line, rung, result)


def _earn(turn: Turn, line: Run, rung: Rung, result: Trained) -> None:
    stage = stage_of(turn, line.percent)
    inside = speeds(turn, stage)
    top = _reached(inside, line, result)
    leaving = top == inside[-1] and line.percent == inside[-1]
    minimal = turn.value(stage.leave_pain if leaving else stage.step_pain)
    allowed = min(minimal, stop_pain(turn, line.percent))
    if result.pain is None:  # what hurt was not told, so nothing is earned
        return _stay(turn, rung, "run.not_complete", {"speed": line.percent})
    saw: dict[str, Scalar] = {"speed": line.percent, "pain": result.pain, "limit": allowed}
    if not result.complete or result.pain > allowed:
        return _stay(turn, rung, "run.not_complete" if not result.complete else "run.not_painless", saw)
    reason = Reason(rule="run.passed", saw=saw, number=f"stages.{stage.number}.step_pain")
    if leaving:
        return _leave(turn, stage, rung, reason)
    for speed in inside:
        if line.percent <= speed < max(top, line.percent + 1):
            turn.conclude(Passed(at=turn.at, item=RUN, at_level=speed, exercise=RUN, reason=reason))
    return _climb(turn, max(top, _next(inside, line.percent)), reason)


def _leave(turn: Turn, stage: Stage, rung: Rung, reason: Reason) -> None:
    """The last speed of a stage: enough good days, and the next stage open, or stay."""
    days = turn.value(stage.leave_days)
    last_stage = stage is turn.book.stages[-1]
    if last_stage:
        session = next(s for s in reversed(turn.state.sessions) if s.verdict == "counts")
        turn.conclude(Topped(at=turn.at, day=session.day))
    if rung.passes + 1 < days:
        more = Reason(rule="run.once_more", saw={**reason.saw, "needed": days}, number=reason.number)
        return tally(turn, RUN, rung, rung.passes + 1, more)
    turn.conclude(Passed(at=turn.at, item=RUN, at_level=rung.level, exercise=RUN, reason=reason))
    return None if last_stage else _climb(turn, _next(every_speed(turn), rung.level), reason)


def _climb(turn: Turn, to: float, reason: Reason) -> None:
    """Step up, but into fast running only once a clinician has opened it."""
    rung = turn.state.run
    if rung and is_fast(turn, to) and FAST not in turn.state.opened:
        tally(turn, RUN, rung, 0, Reason(rule=WAITS, saw=reason.saw, number="running.fast_above"))
        return turn.say(CLINICIANS, Word("clinician.fast_ready", {"name": turn.state.name}))
    return rise(turn, RUN, to, reason)


def opened(turn: Turn) -> None:
    """A clinician opened fast running: who waits for this word with the last slower speed just passed steps on."""
    rung = turn.state.run
    if rung and rung.why and rung.why.rule == WAITS and not rises_blocked(turn.state):
        following = min(speed for speed in every_speed(turn) if speed > rung.level)
        reason = Reason(rule="run.opened", saw={"speed": rung.level}, number="running.fast_above")
        turn.conclude(Stepped(at=turn.at, item=RUN, to=following, reason=reason))


def _stay(turn: Turn, rung: Rung, rule: str, saw: dict[str, Scalar]) -> None:
    tally(turn, RUN, rung, 0, Reason(rule=rule, saw=saw, number="running.repetitions"))


def _reached(inside: list[float], line: Run, result: Trained) -> float:
    """The fastest speed of the plan that was reached; more than was allowed today is not counted."""
    most = min(result.top if result.top is not None else line.percent, line.up_to)
    return max((speed for speed in inside if speed <= most), default=line.percent)


def _next(inside: list[float], percent: float) -> float:
    return min((speed for speed in inside if speed > percent), default=percent)


def _place(every: list[float], percent: float) -> int:
    return min(range(len(every)), key=lambda n: abs(every[n] - percent))
