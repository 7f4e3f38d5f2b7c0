"""Every plan keeps the hard rules and is the cheapest of all layouts."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from hypothesis import HealthCheck, given, settings, strategies as st
from week_oracle import COSTS, broken_rules, cheapest

from coachbot.core.rules.week import Costs, Kind, Wishes, plan

ZONES = [ZoneInfo(name) for name in ("Europe/Berlin", "America/Los_Angeles", "Australia/Lord_Howe", "UTC")]
ANY_DAY = st.dates(date(2026, 1, 1), date(2026, 12, 31))
BEFORE_A_CLOCK_CHANGE = st.dates(date(2026, 3, 23), date(2026, 3, 29)) | st.dates(
    date(2026, 10, 19), date(2026, 10, 25)
)
SESSION = st.sampled_from([Kind.STRENGTH, Kind.RUN])
POINTS = st.integers(0, 60)
GAPS = st.sampled_from([24, 36, 48, 72, 96])
MANY = settings(max_examples=2000, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@st.composite
def any_wishes(draw: st.DrawFn) -> Wishes:
    today, hour = draw(ANY_DAY | BEFORE_A_CLOCK_CHANGE), draw(st.integers(0, 23))
    home, away, leaves = draw(st.sampled_from(ZONES)), draw(st.sampled_from(ZONES)), draw(st.integers(1, 9))
    days = [today + timedelta(n) for n in range(-1, 9)]
    starts = {day: datetime.combine(day, time(hour), home if n < leaves else away) for n, day in enumerate(days[1:8])}
    at = datetime.combine(today, time(draw(st.integers(0, 23))), home).astimezone(UTC)
    back = st.none() | st.integers(0, 120).map(lambda hours: at - timedelta(hours=hours))
    return Wishes(
        today=today,
        at=at,
        starts=starts,
        free=draw(st.just(frozenset(range(7))) | st.frozensets(st.integers(0, 6))),
        team=draw(st.dictionaries(st.sampled_from(days), st.sampled_from(["training", "match"]), max_size=4)),
        strength_wanted=draw(st.integers(0, 4)),
        run_wanted=draw(st.integers(0, 4)),
        strength_open=draw(st.integers(0, 9)) > 0,
        run_open=draw(st.integers(0, 9)) > 0,
        run_from=draw(st.none() | st.sampled_from(days)),
        fast=draw(st.booleans()),
        past=draw(
            st.dictionaries(
                st.integers(1, 7).map(lambda n: today - timedelta(n)), st.sampled_from(list(Kind)), max_size=4
            )
        ),
        done_today=draw(st.just(frozenset()) | st.frozensets(SESSION)),
        last_strength=draw(back),
        last_run=draw(back),
        last_fast=draw(back),
        announced=draw(st.dictionaries(st.sampled_from(days), st.sampled_from(list(Kind)), max_size=7)),
    )


ANY_COSTS = st.just(COSTS) | st.builds(
    Costs,
    strength_gap=GAPS,
    fast_gap=GAPS,
    gap_tolerance=st.sampled_from([0, 0.5, 1]),
    **{name: POINTS for name in Costs.__dataclass_fields__ if "gap" not in name},
)


@MANY
@given(any_wishes(), ANY_COSTS)
def test_no_plan_breaks_rules(w: Wishes, c: Costs) -> None:
    assert broken_rules(w, c, [day.kind for day in plan(w, c).days]) == []


@MANY
@given(any_wishes(), ANY_COSTS)
def test_no_layout_is_cheaper(w: Wishes, c: Costs) -> None:
    # The first of the cheapest in the stated order: ties are settled too.
    layout, cost = cheapest(w, c)
    chosen = plan(w, c)
    assert ([day.kind for day in chosen.days], chosen.cost) == (layout, cost)


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
