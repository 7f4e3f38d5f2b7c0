"""Every plan keeps the hard rules and is the cheapest of all layouts."""

from datetime import UTC, date, datetime, time, timedelta
from itertools import combinations
from zoneinfo import ZoneInfo

from hypothesis import HealthCheck, given, settings, strategies as st
from week_oracle import COSTS, broken_rules, cheapest

from coachbot.core.rules.week import Costs, Kind, Wishes, plan

ANY_DAY = st.dates(date(2026, 1, 1), date(2026, 12, 31))
BEFORE_A_CLOCK_CHANGE = st.dates(date(2026, 3, 23), date(2026, 3, 29)) | st.dates(
    date(2026, 10, 19), date(2026, 10, 25)
)
TODAY = ANY_DAY | BEFORE_A_CLOCK_CHANGE
ZONES = ("Europe/Berlin", "America/Los_Angeles", "Australia/Lord_Howe", "UTC")
ZONE = st.sampled_from([ZoneInfo(name) for name in ZONES])
HOUR = st.integers(0, 23)
LEAVES = st.integers(1, 9)
WEEK = frozenset(range(7))
FREE = st.just(WEEK) | st.sampled_from([frozenset(days) for n in WEEK for days in combinations(WEEK, n)])
WANTED = st.integers(0, 4)
OPEN = st.sampled_from([False] + [True] * 9)
AHEAD = range(-1, 9)
DONE = st.sampled_from([frozenset(done) for n in range(3) for done in combinations((Kind.STRENGTH, Kind.RUN), n)])
RUN_FROM = st.none() | st.sampled_from(AHEAD)
FAST = st.booleans()
HOURS_AGO = st.none() | st.integers(0, 120)
POINTS = st.integers(0, 60)
GAPS = st.sampled_from([24, 36, 48, 72, 96])


def days_with(days: range, *held: object, nothing: int) -> st.SearchStrategy[dict[int, object]]:
    """One of these, or nothing, on each of the days; out of all its choices a day has so many that are nothing."""
    day = st.sampled_from([None] * nothing + list(held))
    return st.tuples(*[day] * len(days)).map(
        lambda drawn: {n: what for n, what in zip(days, drawn, strict=True) if what is not None}
    )


TEAM = days_with(AHEAD, "training", "match", nothing=5)
PAST = days_with(range(-7, 0), *Kind, nothing=8)
ANNOUNCED = days_with(AHEAD, *Kind, nothing=4)


@st.composite
def any_wishes(draw: st.DrawFn) -> Wishes:
    today, hour, home, away, leaves = draw(TODAY), draw(HOUR), draw(ZONE), draw(ZONE), draw(LEAVES)
    at = datetime.combine(today, time(draw(HOUR)), home).astimezone(UTC)

    def day(n: int) -> date:
        return today + timedelta(n)

    def dated(days: dict[int, object]) -> dict[date, object]:
        return {day(n): what for n, what in days.items()}

    def ago(hours: int | None) -> datetime | None:
        return None if hours is None else at - timedelta(hours=hours)

    return Wishes(
        today=today,
        at=at,
        starts={day(n): datetime.combine(day(n), time(hour), home if n < leaves else away) for n in range(7)},
        free=draw(FREE),
        team=dated(draw(TEAM)),
        strength_wanted=draw(WANTED),
        run_wanted=draw(WANTED),
        strength_open=draw(OPEN),
        run_open=draw(OPEN),
        run_from=None if (n := draw(RUN_FROM)) is None else day(n),
        fast=draw(FAST),
        past=dated(draw(PAST)),
        done_today=draw(DONE),
        last_strength=ago(draw(HOURS_AGO)),
        last_run=ago(draw(HOURS_AGO)),
        last_fast=ago(draw(HOURS_AGO)),
        announced=dated(draw(ANNOUNCED)),
    )


ANY_COSTS = st.just(COSTS) | st.builds(
    Costs,
    strength_gap=GAPS,
    fast_gap=GAPS,
    gap_tolerance=st.sampled_from([0, 0.5, 1]),
    **{name: POINTS for name in Costs.__dataclass_fields__ if "gap" not in name},
)


@settings(max_examples=2000, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(any_wishes(), ANY_COSTS)
def test_plan_is_lawful_and_cheapest(w: Wishes, c: Costs) -> None:
    chosen = plan(w, c)
    layout = [day.kind for day in chosen.days]
    assert broken_rules(w, c, layout) == []
    # The first of the cheapest in the stated order: ties are settled too.
    assert (layout, chosen.cost) == cheapest(w, c)


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(any_wishes(), st.randoms(use_true_random=False))
def test_equal_wishes_equal_plans(w: Wishes, order) -> None:
    shuffled = {}
    for name in ("team", "past", "announced", "starts"):
        items = list(getattr(w, name).items())
        order.shuffle(items)
        shuffled[name] = dict(items)
    again = Wishes(**(vars(w) | shuffled))
    assert plan(w, COSTS) == plan(again, COSTS)
