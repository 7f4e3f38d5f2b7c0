"""The words of the week planner: kinds of day, layouts, wishes, costs and reasons; it decides nothing."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import Literal

WEEK = 7
DAYS = range(WEEK)
DAY = timedelta(days=1)


class Kind(StrEnum):
    """What a day holds; on a day with both the run comes first, always."""

    REST = "rest"
    STRENGTH = "strength"
    RUN = "run"
    BOTH = "both"


KINDS = (Kind.REST, Kind.STRENGTH, Kind.RUN, Kind.BOTH)
STRENGTH, RUN, BOTH = 1, 2, 3  # places in KINDS, and bits: both is strength with a run
Layout = tuple[int, ...]  # seven places in KINDS


@dataclass(frozen=True)
class Why:
    """A reason: the key of its wording below `week.` and the values the wording shows."""

    key: str
    values: tuple[tuple[str, int | str | date | tuple[date, ...]], ...] = ()


@dataclass(frozen=True, kw_only=True)
class Wishes:
    """All the planner sees. Dates are the athlete's local days, instants are aware datetimes.

    `starts` has the usual start of a session for each of the seven days from today on, ascending, in the
    zone the athlete will then be in; `at` is now. `past` is what was really done on the six days before
    today, `done_today` what is done already; `last_...` are the instants of the latest sessions, those of
    today included. `team` may name yesterday and the day after the week: matches there count too.
    """

    today: date
    at: datetime
    starts: Mapping[date, datetime]
    free: frozenset[int]  # weekdays on which the athlete can train, 0 is Monday
    team: Mapping[date, Literal["training", "match"]]
    strength_wanted: int  # sessions in any seven days, at most
    run_wanted: int
    strength_open: bool  # may this kind be done at all now
    run_open: bool
    run_from: date | None  # no run before this day
    fast: bool  # the coming runs are fast (80 % and more)
    past: Mapping[date, Kind]
    done_today: frozenset[Kind]
    last_strength: datetime | None
    last_run: datetime | None
    last_fast: datetime | None
    announced: Mapping[date, Kind]  # what the athlete was told


@dataclass(frozen=True, kw_only=True)
class Costs:
    """The gaps in hours and the points each broken wish costs, as they stand in the programme."""

    strength_gap: float
    fast_gap: float
    gap_tolerance: float
    strength_missed: int
    run_missed: int
    changed: int
    repeat_next_day: int
    strength_before_match: int
    fast_after_match: int
    same_day: int
    strength_with_team: int
    next_day: int
    uneven: int
    later: int


GAPS = frozenset({"strength_gap", "fast_gap", "gap_tolerance"})


def costs(numbers: Mapping[str, float]) -> Costs:
    """The costs from the numbers of the programme by name.

    Raises ValueError when a name is missing or unknown, a number is negative (the search leans on costs that
    only add up) or points are not whole (sums stay exact, so that ties are ties).
    """
    names = {field.name for field in fields(Costs)}
    if wrong := names.symmetric_difference(numbers):
        raise ValueError(f"the week needs exactly its own numbers; missing or unknown: {sorted(wrong)}")
    if wrong := {name for name in names if numbers[name] < 0}:
        raise ValueError(f"below zero: {sorted(wrong)}")
    if wrong := {name for name in names - GAPS if numbers[name] != int(numbers[name])}:
        raise ValueError(f"points must be whole: {sorted(wrong)}")
    gaps = {name: numbers[name] for name in GAPS}
    return Costs(**gaps, **{name: int(numbers[name]) for name in names - GAPS})  # type: ignore[arg-type]
