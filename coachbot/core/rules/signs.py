"""Signs in the course of days: what no single message shows; each is looked for once a morning."""

from collections.abc import Callable
from datetime import datetime
from itertools import pairwise

from coachbot.core.days import days_between, local_day
from coachbot.core.turn import Turn

from .morning import bounds, usual
from .safety import day_of_injury, raise_flag

Sign = Callable[[Turn], str | None]
"""Looks at the state and returns the words of the sign, or None."""

JUMP = "morning-jump"


def look(turn: Turn) -> None:
    """Raise every sign that this morning shows and that was not raised lately."""
    for flag, sign in SIGNS.items():
        words = sign(turn)
        if words and not _raised_lately(turn, flag):
            raise_flag(turn, flag, words)


def _raised_lately(turn: Turn, flag: str) -> bool:
    """Whether the clinician heard of this sign lately; a jump in the morning score is told every time."""
    again = 1 if flag == JUMP else turn.value(turn.book.programme.course.sign_again_after)
    days = (_days_since(turn, f.at) for f in turn.state.flagged if f.flag == flag)
    return any(day < again for day in days)


def _days_since(turn: Turn, at: datetime) -> int:
    return days_between(local_day(at, turn.state.zone), turn.today)


def _scores(turn: Turn) -> list[float]:
    return [m.walking for m in turn.state.mornings]


def morning_jump(turn: Turn) -> str | None:
    """A morning score that calls for a rest day: high in itself, or far above the usual one."""
    rule = bounds(turn)
    *before, now = _scores(turn)
    if now >= rule.score_rest:
        return f"{now:g}"
    if before and now >= usual(before, rule.base_mornings) + rule.rise_rest:
        return f"{usual(before, rule.base_mornings):g} -> {now:g}"
    return None


def _worse_two_days(turn: Turn) -> str | None:
    count = int(turn.value(turn.book.programme.course.worse_mornings))
    last = turn.state.mornings[-count - 1 :]
    pairs = list(pairwise(last))
    rising = all(a.walking < b.walking and days_between(a.day, b.day) == 1 for a, b in pairs)
    return " -> ".join(f"{m.walking:g}" for m in last) if len(pairs) == count and rising else None


def _no_change_day_7(turn: Turn) -> str | None:
    scores = _scores(turn)
    day, review = day_of_injury(turn), turn.value(turn.book.programme.course.review_day)
    still_early = turn.state.course in ("early", "building")
    if day is None or day < review or not still_early or len(scores) < review - 1:
        return None
    return f"{scores[0]:g} -> {scores[-1]:g}" if scores[-1] and scores[-1] >= scores[0] else None


def _no_load_by_day_7(turn: Turn) -> str | None:
    day, latest = day_of_injury(turn), turn.value(turn.book.programme.course.load_by_day)
    loaded = turn.state.course not in ("approved", "early")
    return str(day) if day is not None and day >= latest and not loaded else None


def _no_progress(turn: Turn) -> str | None:
    after = turn.value(turn.book.programme.course.no_progress_days)
    rungs = [*turn.state.ladders.values(), *([turn.state.run] if turn.state.run else [])]
    moved = [r.since for r in rungs if r.since]
    if turn.state.course not in ("building", "sprinting") or not moved:
        return None
    still = _days_since(turn, max(moved))
    return str(still) if still >= after else None


def _skipped_twice(turn: Turn) -> str | None:
    count = int(turn.value(turn.book.programme.course.skipped_twice))
    last = [s for s in turn.state.sessions if any(line.reported for line in s.lines)][-count:]
    return str(count) if len(last) == count and all(s.skipped for s in last) else None


def _masked_scores(turn: Turn) -> str | None:
    count = int(turn.value(turn.book.programme.course.masked_mornings))
    last = turn.state.mornings[-count:]
    return str(count) if len(last) == count and all(m.masked for m in last) else None


SIGNS: dict[str, Sign] = {
    JUMP: morning_jump,
    "worse-two-days": _worse_two_days,
    "no-change-day-7": _no_change_day_7,
    "no-load-by-day-7": _no_load_by_day_7,
    "no-progress": _no_progress,
    "skipped-twice": _skipped_twice,
    "masked-scores": _masked_scores,
}
