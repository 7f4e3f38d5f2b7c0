"""Values from papers, text-books and algebra, each beside its source, against what the sums give.

`computed` in a source means no outside value exists: it was worked by another way, mostly with scipy. `from memory` and
`second-hand` say how well the source itself is known.
"""

import math
from collections.abc import Callable
from typing import NamedTuple

import pytest

from coachbot.core.sums import classify, load, outlook, profile, readiness, splits, strength, survival, trend
from coachbot.core.sums.band import Band, Z, around
from coachbot.core.sums.sprint import (
    Sprinter,
    acceleration,
    distance,
    from_flying,
    power,
    segment_share,
    share_within,
    speed,
    time,
)

VJ = "open modelling code of Vescovi & Jovanovic 2021, zenodo.org/record/4296844"
HAUGEN = "Haugen, Breitschadel & Seiler 2019, doi 10.1371/journal.pone.0215551"
ALGEBRA = "identity (algebra)"
MODEL = "computed from the exponential model"
MAYHEW = "Mayhew et al. 2010, doi 10.1519/JSC.0b013e3181c08860"
REURINK = "Reurink et al. 2013, doi 10.1177/0363546513490650"
NETO = "Neto et al. 2015, doi 10.1123/jsr.2014-0220"
EKSTRAND = "mean and SD of Ekstrand et al. 2012, doi 10.1136/bjsports-2011-090155; range computed"
LATER = "mean and SD of Ekstrand et al. 2016, BJSM 50:738; range computed"
FREIREICH = "6-MP arm of Freireich 1963, text-book table, from memory"
MALLIAROPOULOS = "Malliaropoulos et al. 2010, doi 10.1177/0363546510366423, bands from memory"
POLLOCK = "Pollock et al. 2014, BJSM 48:1347, list from memory"
GLAZER = "Glazer 2009, doi 10.4085/1062-6050-44.2.185, scale from memory"
CHART = "hand-book chart, second-hand"
MEMORY = "formula from memory"
BISHOP = "Bishop et al. 2016, doi 10.1519/SSC.0000000000000264, list from memory"
BAECHLE = "rule of Baechle & Earle, second-hand"
ORDERS = "identity: 2 / n!"


class Row(NamedTuple):
    what: str
    got: Callable[[], float | str | bool | None]
    expected: float | str | bool
    near: float
    source: str


RUNNER = Sprinter(8.5, 1.1)
SPLITS = splits.Splits((5, 10, 20, 30, 35), (1.21, 1.99, 3.38, 4.71, 5.30))
ONE_WEEK = (600, 200, 400, 500, 100, 650, 0)
MEAN, SPREAD = 1592 / 7, 1592 / 7 / 1.63  # a week of 1592 with a monotony of 1.63
DIARY_WEEK = (MEAN, *(MEAN - SPREAD, MEAN + SPREAD) * 3)
FALLING = (5, 4, 4, 3, 3, 2, 2, 1)
DAYS = tuple(enumerate(FALLING))
SIX_MP = [(t, True) for t in (6, 6, 6, 7, 10, 13, 16, 22, 23)]
SIX_MP += [(t, False) for t in (6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35)]
PLATES = strength.barbell(20, (25, 20, 15, 10, 5, 2.5, 1.25))
MEN_TO_40 = {"sprint": (1.90, 3.05, 4.09, 5.13), "basketball": (2.06, 3.36, 4.55, 5.74)}
MEN_TO_40 |= {"bandy": (2.09, 3.39, 4.60, 5.80)}
WOMEN_TO_40 = {"sprint": (2.00, 3.24, 4.39, 5.51), "bandy": (2.28, 3.76, 5.18, 6.63)}


def fit(offset: float | None, given: splits.Splits = SPLITS) -> splits.Fit:
    return splits.fit(given, offset)


def top_of(times: tuple[float, ...], offset: float | None) -> float:
    return fit(offset, splits.Splits((10, 20, 30, 40), times)).runner.top


def run(share: float, *lengths: float) -> tuple[profile.Zone, ...]:
    return profile.run_through(*(lengths or (20, 60, 20)), share)


def effort(share: float, length: float = 20) -> float:
    return profile.effort(profile.Zone(length, 0, share), RUNNER)


def total(share: float) -> float:
    return sum(profile.seconds(zone, 8.5) for zone in run(share))


def hold(share: float, *lengths: float) -> float:
    return profile.seconds(run(share, *lengths)[1], 8.5)


def steadiest() -> float:
    """The highest share of top speed a constant acceleration over 20 m may end at, found by halving."""
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2
        zone = profile.Zone(20, 0, middle)
        possible = profile.steepness(zone, 8.5) <= acceleration(RUNNER, 8.5 * middle)
        low, high = (middle, high) if possible else (low, middle)
    return low


def points(length: float, share: float, clock_sd: float) -> float:
    """The half-width of a timed share of 8.5 m/s in points of %."""
    return profile.resolution(length / (8.5 * share), clock_sd) * share * 100


def chart_gap(formula: str) -> float:
    """The largest gap between a formula and the chart, 2 to 10 repetitions, in points of % of the maximum."""
    shares = {r: 100 / strength.one_rep_max(1, r, 0, 12, formula) for r in range(2, 11)}
    return max(abs(share - strength.CHART[r]) for r, share in shares.items())


def tenths(mean: float, sd: float) -> outlook.Outlook:
    return outlook.of_ten(outlook.lognormal(mean, sd), 8)


def next_case(worth: int = 8, not_back_by: float = 0) -> outlook.Outlook:
    return outlook.of_ten(outlook.combined(outlook.lognormal(18, 15), worth, ()), 8, not_back_by)


def out(week: float) -> float:
    return survival.kaplan_meier(SIX_MP).still_out(week).value


SPRINT = [
    Row("top speed, no offset", lambda: fit(0).runner.top, 7.553185, 1e-5, VJ),
    Row("tau, no offset", lambda: fit(0).runner.tau, 0.706663, 1e-5, VJ),
    Row("first acceleration", lambda: acceleration(fit(0).runner), 10.68852, 1e-4, VJ),
    Row("highest power per kg", lambda: power(fit(0).runner), 20.1831, 1e-3, VJ),
    Row("top speed, offset fitted", lambda: fit(None).runner.top, 7.92734, 1e-3, "computed, scipy curve_fit"),
    Row("offset fitted", lambda: fit(None).offset, 0.272, 5e-4, "computed, scipy curve_fit"),
    Row("top speed, offset .3", lambda: fit(0.3).runner.top, 7.98, 5e-3, "computed, scipy curve_fit"),
    Row("tau, offset .3", lambda: fit(0.3).runner.tau, 1.25, 5e-3, "computed, scipy curve_fit"),
    Row("miss without offset", lambda: fit(0).miss, 0.032, 5e-4, "computed, scipy curve_fit"),
    Row("miss with offset", lambda: fit(None).miss, 0.017, 5e-4, "computed, scipy curve_fit"),
    Row("speed at tau", lambda: speed(Sprinter(1, 2), 2), 0.6321206, 1e-6, ALGEBRA),
    Row("distance at tau", lambda: distance(Sprinter(9, 1.2), 1.2), 3.973098, 1e-6, ALGEBRA),
    Row("position at the time of 30 m", lambda: distance(RUNNER, time(RUNNER, 30)), 30, 1e-9, ALGEBRA),
    Row("time to 0 m", lambda: time(RUNNER, 0), 0, 0, ALGEBRA),
    Row("last 10 m of sprinters", lambda: from_flying(10, 5.13 - 4.09, 0, 30, 1).band.value, 9.615, 1e-3, HAUGEN),
    Row("sprinters, none", lambda: top_of(MEN_TO_40["sprint"], 0), 9.615, 0.3, HAUGEN),
    Row("basketball, none", lambda: top_of(MEN_TO_40["basketball"], 0), 8.403, 0.2, HAUGEN),
    Row("bandy, none", lambda: top_of(MEN_TO_40["bandy"], 0), 8.33, 0.2, HAUGEN),
    Row("women sprint, none", lambda: top_of(WOMEN_TO_40["sprint"], 0), 8.93, 0.2, HAUGEN),
    Row("women bandy, none", lambda: top_of(WOMEN_TO_40["bandy"], 0), 6.90, 0.2, HAUGEN),
    Row("sprinters, fitted", lambda: top_of(MEN_TO_40["sprint"], None), 9.90, 5e-3, "computed, scipy curve_fit"),
    Row("women bandy, fitted", lambda: top_of(WOMEN_TO_40["bandy"], None), 6.98, 5e-3, "computed, scipy curve_fit"),
    Row("20-30 m of 7.5, .95", lambda: segment_share(Sprinter(7.5, 0.95), 20, 30), 0.988, 5e-4, MODEL),
    Row("20-30 m of 8.5, 1.1", lambda: segment_share(RUNNER, 20, 30), 0.973, 5e-4, MODEL),
    Row("25-30 m of 8.5, 1.1", lambda: segment_share(RUNNER, 25, 30), 0.980, 5e-4, MODEL),
    Row("30-40 m of 9.5, 1.25", lambda: segment_share(Sprinter(9.5, 1.25), 30, 40), 0.980, 5e-4, MODEL),
    Row("30-50 m of 8.5, 1.1", lambda: segment_share(RUNNER, 30, 50), 0.994, 5e-4, MODEL),
    Row("40-60 m of 12.2, 1.35", lambda: segment_share(Sprinter(12.2, 1.35), 40, 60), 0.981, 5e-4, MODEL),
    Row("all-out share after 20 m", lambda: share_within(RUNNER, 20), 0.955, 1e-3, MODEL),
    Row("all-out share after 30 m", lambda: share_within(RUNNER, 30), 0.985, 1e-3, MODEL),
]

PROFILE = [
    Row("whole run at 80 %", lambda: total(0.8), 20.588, 1e-3, ALGEBRA),
    Row("60 m at 80 %", lambda: hold(0.8), 8.824, 1e-3, ALGEBRA),
    Row("60 m at 50 %", lambda: hold(0.5), 14.12, 5e-3, ALGEBRA),
    Row("60 m at 95 %", lambda: hold(0.95), 7.43, 5e-3, ALGEBRA),
    Row("50 m at 70 %", lambda: hold(0.7, 30, 50, 30), 8.40, 5e-3, ALGEBRA),
    Row("build-up time at 60 %", lambda: profile.seconds(run(0.6)[0], 8.5), 7.84, 5e-3, ALGEBRA),
    Row("build-up slope at 90 %", lambda: profile.steepness(run(0.9)[0], 8.5), 1.46, 5e-3, ALGEBRA),
    Row("slow-down from 6.8 m/s in 20 m", lambda: -profile.steepness(run(0.8)[2], 8.5), 1.156, 1e-3, ALGEBRA),
    Row("steadiest build-up over 20 m", steadiest, 0.836, 1e-3, MODEL),
    Row("effort at 50 %", lambda: effort(0.5), 0.09, 5e-3, MODEL),
    Row("effort at 80 %", lambda: effort(0.8), 0.38, 5e-3, MODEL),
    Row("effort at 90 %", lambda: effort(0.9), 0.66, 5e-3, MODEL),
    Row("effort at 95 %", lambda: effort(0.95), 0.96, 5e-3, MODEL),
    Row("effort at 95 % in 30 m", lambda: effort(0.95, 30), 0.64, 5e-3, MODEL),
    Row("effort at 100 %", lambda: effort(1), math.inf, 0, MODEL),
    Row("half effort to 90 %", lambda: profile.build_length(0, 0.9, 0.5, RUNNER), 26, 0.5, MODEL),
    Row("half effort to 95 %", lambda: profile.build_length(0, 0.95, 0.5, RUNNER), 38, 0.5, MODEL),
    Row("half effort to 98 %", lambda: profile.build_length(0, 0.98, 0.5, RUNNER), 55, 0.5, MODEL),
    Row("all-out to 95 %", lambda: profile.build_length(0, 0.95, 1, Sprinter(1, 1)), 2.0457323, 1e-6, ALGEBRA),
    Row("all-out to 99 %", lambda: profile.build_length(0, 0.99, 1, Sprinter(1, 1)), 3.615, 5e-4, ALGEBRA),
    Row("true build-up time to 80 %", lambda: profile.build_seconds(run(0.8)[0], RUNNER), 4.68, 5e-3, MODEL),
    Row("60 m in 8.60 s", lambda: profile.achieved(60, 8.6, Band(8.5, 8.5, 8.5), 0.07).value, 0.8208, 1e-4, ALGEBRA),
    Row("20 m in 3.5 s", lambda: from_flying(20, 3.5, 0, 40, 1).band.value, 5.71, 5e-3, "open field table"),
    Row("20 m in 2.5 s", lambda: from_flying(20, 2.5, 0, 40, 1).band.value, 8.00, 5e-3, "open field table"),
    Row("points, 20 m at 95 %", lambda: points(20, 0.95, 0.07), 5.26, 0.02, ALGEBRA),
    Row("points, 60 m at 80 %", lambda: points(60, 0.8, 0.07), 1.2, 0.05, ALGEBRA),
    Row("points, 30 m at 80 %", lambda: points(30, 0.8, 0.07), 2.5, 0.05, ALGEBRA),
    Row("points, 20 m, 60 frames", lambda: points(20, 0.95, profile.video_sd(60)), 0.51, 0.02, ALGEBRA),
    Row("points, 20 m, 30 frames", lambda: points(20, 0.95, profile.video_sd(30)), 1.0, 0.05, ALGEBRA),
    Row("least time for 5 %", lambda: profile.tells_apart(0.05, 0.07), 5.5, 0.05, ALGEBRA),
    Row("fast metres of 80 %", lambda: profile.fast_metres(run(0.8), 5.5 / 8.5), 73.8, 0.05, ALGEBRA),
    Row("stop from 7.7 m/s", lambda: profile.slowest_stop(7.746, 1.5), 20, 0.01, ALGEBRA),
    Row("stop from 9.5 m/s", lambda: profile.slowest_stop(9.487, 1.5), 30, 0.01, ALGEBRA),
    Row("hand time limit, low", lambda: around(-0.31, Z * 0.07).low, -0.44, 0.01, MAYHEW),
    Row("hand time limit, high", lambda: around(-0.31, Z * 0.07).high, -0.18, 0.01, MAYHEW),
]

STRENGTH = [
    Row("Epley, 10", lambda: strength.one_rep_max(100, 10, 0, 12), 133.333, 1e-3, MEMORY),
    Row("Brzycki, 10", lambda: strength.one_rep_max(100, 10, 0, 12, "brzycki"), 133.333, 1e-3, MEMORY),
    Row("Brzycki, 5", lambda: strength.one_rep_max(100, 5, 0, 12, "brzycki"), 112.5, 1e-3, MEMORY),
    Row("6 with 2 in reserve", lambda: strength.one_rep_max(80, 6, 2, 12), 101, 0.5, MEMORY),
    Row("one repetition", lambda: strength.one_rep_max(90, 1, 0, 12), 90, 0, ALGEBRA),
    Row("chart, 8", lambda: strength.chart_max(120, 8), 150, 0.01, CHART),
    Row("chart, 10", lambda: strength.chart_max(135, 10), 180, 0.01, CHART),
    Row("chart % of 2", lambda: strength.CHART[2], 95, 0, CHART),
    Row("chart % of 4", lambda: strength.CHART[4], 90, 0, CHART),
    Row("chart % of 6", lambda: strength.CHART[6], 85, 0, CHART),
    Row("gap of Epley", lambda: chart_gap("epley"), 2.1, 0.1, "computed from formula and chart"),
    Row("gap of Brzycki", lambda: chart_gap("brzycki"), 2.2, 0.1, "computed from formula and chart"),
    Row("gap of Lander", lambda: chart_gap("lander"), 1.0, 0.1, "computed from formula and chart"),
    Row("gap of Wathan", lambda: chart_gap("wathan"), 2.4, 0.1, "computed from formula and chart"),
    Row("gap of Lombardi", lambda: chart_gap("lombardi"), 4.4, 0.1, "computed from formula and chart"),
    Row("gap of O'Conner", lambda: chart_gap("oconner"), 5.0, 0.1, "computed from formula and chart"),
    Row("gap of Mayhew", lambda: chart_gap("mayhew"), 5.3, 0.1, "computed from formula and chart"),
    Row("12 and 12 for 10", lambda: strength.two_for_two((12, 12), 10, 2, 2), True, 0, BAECHLE),
    Row("12 and 11 for 10", lambda: strength.two_for_two((12, 11), 10, 2, 2), False, 0, BAECHLE),
    Row("20 kg and the next", lambda: strength.next_weight(20, range(2, 41, 2), 0.025, 0.1), 22, 0, BAECHLE),
    Row("barbell for 68.9", lambda: strength.round_down(68.9, PLATES), 67.5, 0, ALGEBRA),
    Row("dumb-bell for 47.3", lambda: strength.round_down(47.3, range(0, 61, 5)), 45, 0, ALGEBRA),
    Row("symmetry index", lambda: strength.symmetry(85, 100).percent, 85, 1e-9, "doi 10.1007/s00167-019-05396-4"),
    Row("symmetry above 100", lambda: strength.symmetry(100, 85).percent, 117.6, 0.05, ALGEBRA),
    Row("deficit", lambda: strength.symmetry(85, 100, "deficit").percent, 15, 1e-9, ALGEBRA),
    Row("over the sum", lambda: strength.symmetry(85, 100, "difference/sum").percent, 8.1, 0.05, BISHOP),
    Row("over the mean", lambda: strength.symmetry(85, 100, "difference/mean").percent, 16.216, 1e-3, BISHOP),
    Row("symmetry angle", lambda: strength.symmetry(85, 100, "angle").percent, 5.15, 0.01, BISHOP),
    Row("torque per kg", lambda: strength.torque(250, 0.38, 75), 1.2667, 1e-4, ALGEBRA),
    Row("active knee, two testers", lambda: strength.detectable(5.3), 15, 0.5, REURINK),
    Row("passive knee, two testers", lambda: strength.detectable(7.6), 21, 0.5, REURINK),
    Row("active knee, one tester, low", lambda: strength.detectable(2.6), 7, 0.5, NETO),
    Row("active knee, one tester, high", lambda: strength.detectable(2.9), 8, 0.5, NETO),
    Row("leg raise, one tester, low", lambda: strength.detectable(2.2), 6, 0.5, NETO),
    Row("leg raise, one tester, high", lambda: strength.detectable(2.6), 7, 0.5, NETO),
    Row("9 degrees, two testers", lambda: strength.inside_noise(60, 51, 15), True, 0, REURINK),
]

WATCH = [
    Row("Theil-Sen slope", lambda: trend.theil_sen(DAYS), -0.5, 0, "computed, median of 28 pair slopes"),
    Row("Mann-Kendall S", lambda: trend.kendall(FALLING), -25, 0, "computed by hand"),
    Row("p of 3 falling", lambda: trend.exact_p((3, 2, 1)), 1 / 3, 1e-6, ORDERS),
    Row("p of 4 falling", lambda: trend.exact_p((4, 3, 2, 1)), 0.083333, 1e-6, ORDERS),
    Row("p of 5 falling", lambda: trend.exact_p((5, 4, 3, 2, 1)), 0.016667, 1e-6, ORDERS),
    Row("p of 6 falling", lambda: trend.exact_p((6, 5, 4, 3, 2, 1)), 0.002778, 1e-6, ORDERS),
    Row("session load", lambda: load.session_load(6, 45, 10), 270, 0, "Foster 2001, from memory"),
    Row("weekly load", lambda: load.week(ONE_WEEK).total, 2450, 0, ALGEBRA),
    Row("monotony", lambda: load.week(ONE_WEEK).monotony, 1.3817, 5e-4, ALGEBRA),
    Row("other form", lambda: load.week(ONE_WEEK).monotony * math.sqrt(7 / 6), 1.4924, 5e-4, ALGEBRA),
    Row("strain", lambda: load.week(DIARY_WEEK).strain, 2595, 1, "diary with Foster's formulas 1998, second-hand"),
    Row("1150 m after 1000", lambda: load.change(1150, 1000) <= 0.2, True, 0, "Duhig 2016 in direction"),
    Row("1250 m after 1000", lambda: load.change(1250, 1000) <= 0.2, False, 0, "Duhig 2016 in direction"),
    Row("readiness of 80s", lambda: readiness.confidence([80] * 6), 48, 0, GLAZER),
    Row("readiness of 100s", lambda: readiness.confidence([100] * 6), 60, 0, GLAZER),
    Row("readiness of 0s", lambda: readiness.confidence([0] * 6), 0, 0, GLAZER),
    Row("range of 88 %", lambda: readiness.sides(66, 75, 90, None).reached, False, 0, "common practice, no source"),
    *(
        Row(f"band of {deficit}", lambda d=deficit: classify.band(d, (10, 20, 30)), band, 0, MALLIAROPOULOS)
        for deficit, band in ((9.9, 1), (10, 2), (19.9, 2), (20, 3), (29.9, 3), (30, 4))
    ),
    *(
        Row(f"tendon in {code}", lambda c=code: classify.bamic(c).tendon, code[-1] == "c", 0, POLLOCK)
        for code in ("0a", "0b", "1a", "1b", "2a", "2b", "2c", "3a", "3b", "3c", "4", "4c")
    ),
]

OUTLOOK = [
    Row("6-MP, week 6", lambda: out(6), 0.857, 1e-3, FREIREICH),
    Row("6-MP, week 10", lambda: out(10), 0.753, 1e-3, FREIREICH),
    Row("6-MP, week 23", lambda: out(23), 0.448, 1e-3, FREIREICH),
    Row("6-MP, median", lambda: survival.kaplan_meier(SIX_MP).median()[0], 23, 0, FREIREICH),
    Row("grade 1, median", lambda: tenths(17, 10).median, 14.65, 0.01, EKSTRAND),
    Row("grade 1, low", lambda: tenths(17, 10).low, 7, 0.5, EKSTRAND),
    Row("grade 1, high", lambda: tenths(17, 10).high, 29, 0.5, EKSTRAND),
    Row("grade 2, median", lambda: tenths(22, 11).median, 20, 0.5, EKSTRAND),
    Row("grade 2, low", lambda: tenths(22, 11).low, 11, 0.5, EKSTRAND),
    Row("grade 2, high", lambda: tenths(22, 11).high, 36, 0.5, EKSTRAND),
    Row("grade 3, median", lambda: tenths(73, 60).median, 56, 0.5, EKSTRAND),
    Row("grade 3, low", lambda: tenths(73, 60).low, 22, 0.5, EKSTRAND),
    Row("grade 3, high", lambda: tenths(73, 60).high, 142, 0.5, EKSTRAND),
    Row("worth 8, median", lambda: next_case().median, 14, 0.5, LATER),
    Row("worth 8, low", lambda: next_case().low, 5, 0.5, LATER),
    Row("worth 8, high", lambda: next_case().high, 41, 0.5, LATER),
    Row("not back on day 14, median", lambda: next_case(not_back_by=14).median, 24, 0.5, LATER),
    Row("not back on day 14, low", lambda: next_case(not_back_by=14).low, 15, 0.5, LATER),
    Row("not back on day 14, high", lambda: next_case(not_back_by=14).high, 58, 0.5, LATER),
]

ROWS = [*SPRINT, *PROFILE, *STRENGTH, *WATCH, *OUTLOOK]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.what)
def test_sum_gives_published_value(row: Row) -> None:
    assert row.got() == pytest.approx(row.expected, abs=row.near, rel=0), row.source


def test_field_table_adds_up() -> None:
    """Six levels of 40-20-40 m to 15-20-15 m, three times each: 1,350 m, 360 m of it at the held speed (open field
    table)."""
    levels = [run(0.8, build, 20, build) for build in (40, 35, 30, 25, 20, 15)]
    assert 3 * sum(zone.length for level in levels for zone in level) == 1350
    assert 3 * sum(profile.fast_metres(level, 0.8) for level in levels) == 360


def test_there_are_enough_values() -> None:
    assert len(ROWS) >= 80
    assert len({row.what for row in ROWS}) == len(ROWS)
