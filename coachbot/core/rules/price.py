"""What a week's broken wishes cost, wish by wish; it knows no hard rule and chooses nothing."""

from collections.abc import Iterator
from dataclasses import dataclass

from coachbot.core.rules.layout import (
    BOTH,
    DAY,
    DAYS,
    KINDS,
    RUN,
    STRENGTH,
    WEEK,
    Costs,
    Layout,
    Wishes,
)
from coachbot.core.rules.track import Track, done

LONG_AGO = -WEEK  # far enough that no spread over seven days reaches back to it
# Of layouts that cost the same the first in this order wins, compared day by day from today on.
ORDER = (STRENGTH, RUN, BOTH, 0)


def _session(w: Wishes, day: int, kind: int) -> list[str]:
    """The wishes a session of strength or a run breaks by standing on this day."""
    local = w.today + day * DAY
    broken = ["later"] * day
    if kind == STRENGTH and w.team.get(local) == "training":
        broken.append("strength_with_team")
    if kind == STRENGTH and w.team.get(local + DAY) == "match":
        broken.append("strength_before_match")
    if kind == RUN and w.fast and w.team.get(local - DAY) == "match":
        broken.append("fast_after_match")
    return broken


def _whole(w: Wishes, day: int, whole: int) -> list[str]:
    """The wishes a day breaks by all it holds, what is already done today included."""
    broken = ["same_day"] if whole == BOTH else []
    if w.announced.get(w.today + day * DAY, KINDS[whole]) != KINDS[whole]:
        broken.append("changed")
    return broken


def _neighbours(before: int, whole: int) -> list[str]:
    """The wishes two days in a row break by what they hold."""
    if not (before and whole):
        return []
    return ["next_day", "repeat_next_day"] if before & whole else ["next_day"]


def _crowded(track: Track, gap: int) -> list[str]:
    """Once for every day a session comes sooner after the last than an even spread over the week asks."""
    return ["uneven"] * (WEEK // track.wanted - gap) if track.wanted else []


def price(c: Costs, names: list[str]) -> int:
    """The points of these broken wishes together."""
    return sum([getattr(c, name) for name in names]) if names else 0


def start(track: Track) -> tuple[int, int]:
    """The day of the last real session and the sessions still wanted."""
    return max(track.past, default=LONG_AGO), max(0, track.wanted - (0 in track.past))


def broken(w: Wishes, strength: Track, run: Track, layout: Layout) -> Iterator[tuple[str, int]]:
    """Every broken wish of a layout by name, with its day; what is missed belongs to none and comes after all."""
    before = done(strength, run, -1)
    for day, kind in enumerate(layout):
        whole = kind | done(strength, run, day)
        yield from ((name, day) for name in _whole(w, day, whole) + _neighbours(before, whole))
        before = whole
    for track, bit, missed in ((strength, STRENGTH, "strength_missed"), (run, RUN, "run_missed")):
        last, need = start(track)
        for day in (day for day, kind in enumerate(layout) if kind & bit):
            yield from ((name, day) for name in _session(w, day, bit) + _crowded(track, day - last))
            last, need = day, need - 1
        yield from ((missed, WEEK) for _ in range(need))


def follows(c: Costs) -> list[list[int]]:
    """The price of two days in a row, by what the first and the second hold."""
    places = range(len(KINDS))
    return [[price(c, _neighbours(before, whole)) for whole in places] for before in places]


@dataclass(frozen=True)
class Prices:
    """What sessions of one kind cost.

    own: on each day by itself.  near: by the days since the last one.  least: the least still to come from
    each day on, by the sessions still wanted, were this kind alone in the week.
    """

    own: list[int]
    near: list[int]
    least: list[list[int]]


def prices(w: Wishes, c: Costs, track: Track, kind: int, missed: int) -> Prices:
    """The prices of one kind; `missed` is what each session short of the week costs."""
    own = [price(c, _session(w, day, kind)) for day in DAYS]
    near = [price(c, _crowded(track, gap)) for gap in range(WEEK - LONG_AGO)]
    least = [[missed * need for need in range(track.wanted + 1)]]
    for day in reversed(DAYS):
        skip, row = least[0], list(least[0])
        if track.bars[day] is None:
            after = least[track.resume[day] - day - 1]
            for need in range(track.used[day] + 1, track.wanted + 1):
                row[need] = min(skip[need], own[day] + after[need - 1])
        least.insert(0, row)
    return Prices(own, near, least)


def choices(w: Wishes, c: Costs, strength: Track, run: Track, day: int) -> list[tuple[int, int, int]]:
    """What a day may hold by itself: the kind, the kind with what is done, the price of the whole."""
    barred = STRENGTH * (strength.bars[day] is not None) | RUN * (run.bars[day] is not None)
    kinds = [(kind, kind | done(strength, run, day)) for kind in ORDER if not kind & barred]
    return [(kind, whole, price(c, _whole(w, day, whole))) for kind, whole in kinds]
