"""The rules of the week that nothing bends, each shown on a week where the wishes pull the other way."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from week_oracle import BERLIN, COSTS, MONDAY, kinds, starts, wishes

from coachbot.core.rules.track import Gap
from coachbot.core.rules.week import Costs, Kind, plan

HOUR = timedelta(hours=1)
EAGER = {"strength_wanted": 7, "run_wanted": 7}


def week(**changed: object) -> str:
    return kinds(plan(wishes(**changed), COSTS))


def with_costs(**changed: object) -> Costs:
    return Costs(**(vars(COSTS) | changed))


def local(day: int, hour: int, minute: int = 0) -> datetime:
    """An instant on a day counted from the Monday."""
    return datetime(2026, 6, 1, hour, minute, tzinfo=BERLIN).astimezone(UTC) + timedelta(days=day)


def test_strength_keeps_two_days() -> None:
    # 48 h between strength sessions: Hickey 2020, JOSPT 50(2):91-103
    assert week(strength_wanted=7, run_wanted=0) == "S.S.S.S"


def test_fast_runs_keep_two_days() -> None:
    # not on neighbouring days, 48 h apart: common practice, no source
    assert week(strength_wanted=0, run_wanted=7, fast=True) == "R.R.R.R"


def test_slow_runs_may_neighbour() -> None:
    only_two_days = frozenset({0, 1})
    assert week(strength_wanted=0, run_wanted=2, free=only_two_days) == "RR....."


def test_last_evening_counts_hours() -> None:
    # Strength on Saturday at 20:00: Monday at 9:00 is 37 h later, two days by the calendar.
    assert week(run_wanted=0, last_strength=local(-2, 20), past={MONDAY - timedelta(2): Kind.STRENGTH})[0] == "."


def test_late_today_delays_next() -> None:
    # Now it is 15:00: a session today leaves 42 h until the usual hour two days on.
    only = {"strength_wanted": 3, "run_wanted": 0, "free": frozenset({0, 2})}
    assert week(**only) == "S.S...."
    assert week(**only, at=local(0, 15)) == "S......"


def test_spring_night_needs_tolerance() -> None:
    # The clocks go forward on Sunday 29 March 2026: Saturday 9:00 to Monday 9:00 is 47 h.
    saturday = date(2026, 3, 28)
    spring = wishes(today=saturday, starts=starts(saturday), strength_wanted=2, run_wanted=0, free=frozenset({5, 0}))
    assert kinds(plan(spring, COSTS)) == "S.S...."
    assert kinds(plan(spring, with_costs(gap_tolerance=0))) == "S......"


def test_autumn_night_needs_none() -> None:
    # The clocks go back on Sunday 25 October 2026: Saturday 9:00 to Monday 9:00 is 49 h.
    saturday = date(2026, 10, 24)
    autumn = wishes(today=saturday, starts=starts(saturday), strength_wanted=2, run_wanted=0, free=frozenset({5, 0}))
    assert kinds(plan(autumn, with_costs(gap_tolerance=0))) == "S.S...."


@pytest.mark.parametrize("gap", [25, 36, 48, 72, 96])
def test_tolerance_never_joins_neighbours(gap: int) -> None:
    # From the first minute of a day to the last of the next, for every hour the tolerance could be set to.
    for tolerance in range(gap):
        rule = Gap(gap * HOUR, tolerance * HOUR)
        late = gap * HOUR - timedelta(minutes=1)
        end = min(local(0, 0) + late, local(1, 23, 59)).astimezone(BERLIN)
        assert not rule.between(local(0, 0), end) or end.date() > MONDAY + timedelta(1)


def test_gap_is_elapsed_time() -> None:
    # One zone, one wall time, the spring night between: Python's own subtraction would say 48 h.
    before, after = datetime(2026, 3, 28, 9, tzinfo=BERLIN), datetime(2026, 3, 30, 9, tzinfo=BERLIN)
    assert after - before == 48 * HOUR
    assert not Gap(48 * HOUR, 0 * HOUR).between(before, after)
    assert Gap(48 * HOUR, 1 * HOUR).between(before, after)


def test_no_fast_run_before_match() -> None:
    saturday_match = {MONDAY + timedelta(5): "match"}
    only = {"strength_wanted": 0, "run_wanted": 1, "free": frozenset({4}), "team": saturday_match}
    assert week(**only, fast=True) == "......."
    assert week(**only, fast=False) == "....R.."


def test_match_after_week_counts() -> None:
    next_monday_match = {MONDAY + timedelta(7): "match"}
    assert week(strength_wanted=0, run_wanted=1, fast=True, free=frozenset({6}), team=next_monday_match) == "......."


def test_no_session_on_match_day() -> None:
    assert week(**EAGER, team={MONDAY: "match"})[0] == "."


def test_no_fast_after_fast() -> None:
    # Even where the gap in hours is set to its least, a day: nothing the day after that repeats it.
    yesterday = {"past": {MONDAY - timedelta(1): Kind.RUN}, "last_run": local(-1, 6), "last_fast": local(-1, 6)}
    daily = with_costs(fast_gap=24)
    assert kinds(plan(wishes(strength_wanted=0, run_wanted=2, fast=True, **yesterday), daily))[0] == "."
    assert "RR" not in kinds(plan(wishes(strength_wanted=0, run_wanted=7, fast=True), daily))


@pytest.mark.parametrize(("closed", "letter"), [("strength_open", "S"), ("run_open", "R")])
def test_closed_kind_never_planned(closed: str, letter: str) -> None:
    chosen = week(**EAGER, **{closed: False})
    assert letter not in chosen and "B" not in chosen and set(chosen) != {"."}


def test_no_run_before_its_day() -> None:
    assert week(strength_wanted=0, run_wanted=7, run_from=MONDAY + timedelta(4)) == "....RRR"


def test_only_free_days() -> None:
    assert week(**EAGER, free=frozenset({2, 5})) == "..B..B."


def test_rolling_week_counts_past() -> None:
    # Runs on Friday and Sunday before, two in any seven days: the next from Friday on, when Friday's has left.
    past = {MONDAY - timedelta(3): Kind.RUN, MONDAY - timedelta(1): Kind.RUN}
    assert week(strength_wanted=0, run_wanted=2, past=past, last_run=local(-1, 9)) == "....R.R"


def test_no_run_after_strength() -> None:
    done = {"done_today": frozenset({Kind.STRENGTH}), "last_strength": local(0, 7)}
    assert week(**done, run_wanted=7)[0] == "."


def test_strength_may_follow_run() -> None:
    done = {"done_today": frozenset({Kind.RUN}), "last_run": local(0, 7)}
    assert week(**done, free=frozenset({0}))[0] == "S"


def test_done_kind_not_repeated() -> None:
    done = {"done_today": frozenset({Kind.RUN}), "last_run": local(0, 7)}
    assert week(**done, strength_wanted=0, run_wanted=7)[0] == "."


def test_travel_counts_hours_passed() -> None:
    # Strength in Auckland on Monday 1 June, then east over the date line: in Los Angeles it is still Monday.
    from zoneinfo import ZoneInfo

    auckland = datetime(2026, 6, 1, 8, tzinfo=ZoneInfo("Pacific/Auckland"))
    there = starts(MONDAY, zone=ZoneInfo("America/Los_Angeles"))
    flown = wishes(starts=there, at=datetime(2026, 6, 1, 15, tzinfo=UTC), last_strength=auckland, run_wanted=0)
    # The session was on Sunday there, at 13:00: Tuesday 9:00 is 44 h later.
    assert kinds(plan(flown, COSTS))[:3] == "..S"


def test_missing_start_is_refused() -> None:
    with pytest.raises(KeyError):
        plan(wishes(starts={}), COSTS)


def test_naive_instant_is_refused() -> None:
    naive = {day: start.replace(tzinfo=None) for day, start in starts(MONDAY).items()}
    with pytest.raises(TypeError):
        plan(wishes(starts=naive), COSTS)


def test_travel_makes_no_neighbours_of_fast_days():
    """Midnight in Berlin, then midnight in Los Angeles: 33 h and two dates apart, yet one day after the other."""
    today = date(2026, 1, 1)
    days = {today + timedelta(n): ZoneInfo("America/Los_Angeles" if n else "Europe/Berlin") for n in range(7)}
    starts = {day: datetime(day.year, day.month, day.day, tzinfo=zone) for day, zone in days.items()}
    free = with_costs(**dict.fromkeys((n for n in vars(COSTS) if "gap" not in n), 0), fast_gap=24, gap_tolerance=0)
    w = wishes(today=today, at=datetime(2025, 12, 31, 23, tzinfo=UTC), starts=starts, strength_wanted=0, fast=True)
    assert [day.kind for day in plan(w, free).days][:2] == [Kind.RUN, Kind.REST]
