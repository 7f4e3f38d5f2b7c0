"""The week bends to what is wished where the rules leave room, and says why and what had to give."""

from datetime import UTC, datetime, timedelta

import pytest
from week_oracle import BERLIN, COSTS, ENTRIES, GAPS, MONDAY, keys, kinds, wishes

from coachbot.core.rules.week import Kind, Why, costs, plan

TUESDAY, WEDNESDAY, THURSDAY, FRIDAY = (MONDAY + timedelta(n) for n in range(1, 5))


def reasons(day: int, **changed: object) -> list[str]:
    return [why.key for why in plan(wishes(**changed), COSTS).days[day].reasons]


def test_plain_week_alternates() -> None:
    chosen = plan(wishes(), COSTS)
    assert kinds(chosen) == "S.R.S.R"
    assert chosen.gave == ()


def test_third_run_finds_day() -> None:
    chosen = plan(wishes(run_wanted=3), COSTS)
    assert kinds(chosen) == "RSR.S.R"
    assert chosen.gave == (Why("gave_next_day", (("days", (TUESDAY, WEDNESDAY)),)),)


def test_few_days_share_sessions() -> None:
    chosen = plan(wishes(free=frozenset({0, 3})), COSTS)
    assert kinds(chosen) == "B..B..."
    assert keys(chosen.days[0].reasons) == {"both"}
    assert Why("gave_same_day", (("days", (MONDAY, THURSDAY)),)) in chosen.gave


def test_missed_sessions_are_told() -> None:
    chosen = plan(wishes(strength_wanted=3, free=frozenset({0, 1})), COSTS)
    assert chosen.gave[0] == Why("gave_strength_missed", (("got", 1), ("wanted", 3)))


def test_strength_leaves_team_days() -> None:
    chosen = plan(wishes(team={MONDAY: "training", WEDNESDAY: "training"}), COSTS)
    strength_days = {day.date for day in chosen.days if day.kind in (Kind.STRENGTH, Kind.BOTH)}
    assert len(strength_days) == 2 and not strength_days & {MONDAY, WEDNESDAY}


def test_strength_leaves_eve_of_match() -> None:
    chosen = plan(wishes(strength_wanted=1, run_wanted=0, team={TUESDAY: "match"}), COSTS)
    assert kinds(chosen) == "..S...."


def test_fast_run_leaves_day_after_match() -> None:
    sunday_match = {MONDAY - timedelta(1): "match"}
    assert kinds(plan(wishes(strength_wanted=0, run_wanted=1, fast=True, team=sunday_match), COSTS)) == ".R....."


def test_announced_week_is_kept() -> None:
    odd = dict(zip((MONDAY + timedelta(n) for n in range(7)), map(_kind, ".S.RS.R"), strict=True))
    chosen = plan(wishes(announced=odd), COSTS)
    assert kinds(chosen) == ".S.RS.R"
    assert "kept" in keys(chosen.days[1].reasons)
    assert "gave_changed" not in keys(chosen.gave)


def test_announced_day_changes_when_it_must() -> None:
    first = plan(wishes(), COSTS)
    told = {day.date: day.kind for day in first.days}
    chosen = plan(wishes(announced=told, free=frozenset({0, 1, 2, 3, 5, 6})), COSTS)
    assert kinds(first) == "S.R.S.R" and kinds(chosen) == "S.RS..R"
    assert chosen.days[4].reasons == (Why("changed", (("was", "strength"),)), Why("not_free"))
    assert Why("gave_changed", (("days", (THURSDAY, FRIDAY)),)) in chosen.gave


def test_skipped_session_is_caught_up() -> None:
    # Monday's strength was not done; the days told stay, and Tuesday's plan still reaches two.
    told = {day.date: day.kind for day in plan(wishes(), COSTS).days}
    tuesday = {day + timedelta(1): start + timedelta(1) for day, start in wishes().starts.items()}
    next_morning = wishes(today=TUESDAY, at=datetime(2026, 6, 2, 5, tzinfo=UTC), starts=tuesday, announced=told)
    assert kinds(plan(next_morning, COSTS)) == ".R.S.RS"


def test_followed_plan_stays_put() -> None:
    # A week done as told and replanned every morning never changes a day it has told.
    told = {day.date: day.kind for day in plan(wishes(run_wanted=3), COSTS).days}
    past, last = {}, {Kind.STRENGTH: None, Kind.RUN: None}
    for n in range(28):
        today = MONDAY + timedelta(n)
        days = [today + timedelta(m) for m in range(7)]
        morning = wishes(
            today=today,
            at=datetime(today.year, today.month, today.day, 5, tzinfo=UTC),
            starts={day: datetime(day.year, day.month, day.day, 9, tzinfo=BERLIN) for day in days},
            run_wanted=3,
            past=past,
            last_strength=last[Kind.STRENGTH],
            last_run=last[Kind.RUN],
            announced=told,
        )
        chosen = plan(morning, COSTS)
        assert "gave_changed" not in keys(chosen.gave), (today, kinds(chosen))
        told = {day.date: day.kind for day in chosen.days}
        past[today] = told[today]
        for kind in (Kind.STRENGTH, Kind.RUN):
            if told[today] in (kind, Kind.BOTH):
                last[kind] = morning.starts[today].astimezone(UTC)
    strength = sum(kind in (Kind.STRENGTH, Kind.BOTH) for kind in past.values())
    runs = sum(kind in (Kind.RUN, Kind.BOTH) for kind in past.values())
    assert (strength, runs) == (8, 12)


@pytest.mark.parametrize(
    ("changed", "day", "key"),
    [
        ({"free": frozenset({0, 2})}, 1, "not_free"),
        ({"team": {TUESDAY: "match"}}, 1, "match_day"),
        ({}, 1, "strength_gap"),
        ({}, 3, "strength_planned"),
        ({"strength_wanted": 0}, 1, "week_full"),
        ({"strength_wanted": 0, "run_wanted": 4, "fast": True}, 1, "fast_gap"),
        ({"strength_wanted": 0, "fast": True, "team": {TUESDAY: "match"}}, 0, "before_match"),
        ({"fast": True, "free": frozenset({0}), "team": {TUESDAY: "match"}}, 0, "before_match"),
        ({"run_from": TUESDAY, "strength_wanted": 0}, 0, "run_from"),
        ({"strength_open": False}, 1, "strength_closed"),
        ({"run_open": False}, 1, "run_closed"),
        ({"strength_wanted": 0, "run_wanted": 0}, 0, "recover"),
        ({"done_today": frozenset({Kind.RUN}), "strength_wanted": 0}, 0, "done_today"),
        ({"done_today": frozenset({Kind.STRENGTH})}, 0, "run_before_strength"),
        ({"strength_wanted": 0, "free": frozenset({0, 1})}, 1, "run_day_after"),
        ({}, 0, "strength_first"),
        ({}, 4, "strength"),
        ({}, 6, "run"),
    ],
)
def test_each_day_says_why(changed: dict[str, object], day: int, key: str) -> None:
    assert key in reasons(day, **changed)


def test_every_entry_has_source() -> None:
    for name, entry in ENTRIES.items():
        assert set(entry) == {"value", "unit", "range", "source", "why"}, name
        low, high = entry["range"]
        assert low <= entry["value"] <= high, name
        assert entry["unit"] == ("h" if "gap" in name else "points"), name


NUMBERS = {**GAPS, **{name: entry["value"] for name, entry in ENTRIES.items()}}


@pytest.mark.parametrize(
    ("numbers", "complaint"),
    [
        ({k: v for k, v in NUMBERS.items() if k != "later"}, "missing or unknown: \\['later'\\]"),
        (NUMBERS | {"latter": 1}, "missing or unknown: \\['latter'\\]"),
        (NUMBERS | {"later": -1}, "below zero: \\['later'\\]"),
        (NUMBERS | {"later": 0.5}, "whole: \\['later'\\]"),
    ],
)
def test_wrong_numbers_are_refused(numbers: dict[str, float], complaint: str) -> None:
    with pytest.raises(ValueError, match=complaint):
        costs(numbers)


def _kind(letter: str) -> Kind:
    return {".": Kind.REST, "S": Kind.STRENGTH, "R": Kind.RUN, "B": Kind.BOTH}[letter]
