"""Says why each day of a week is what it is and what had to give, as keys of wordings; it decides nothing."""

from collections.abc import Sequence

from coachbot.core.rules.layout import BOTH, DAY, KINDS, RUN, STRENGTH, Layout, Why, Wishes
from coachbot.core.rules.track import Track, done

# Wishes whose breaking is worth a word, the weightiest first; a later day alone is not.
TOLD = (
    "strength_missed",
    "run_missed",
    "changed",
    "repeat_next_day",
    "strength_before_match",
    "fast_after_match",
    "same_day",
    "strength_with_team",
    "next_day",
    "uneven",
)


def reasons(w: Wishes, strength: Track, run: Track, layout: Layout, day: int) -> tuple[Why, ...]:
    """Why this day is what it is, the most telling reason first, without doubles."""
    kind, whole = layout[day], layout[day] | done(strength, run, day)
    why = _news(w, day, kind, whole)
    if kind:
        why += _session(strength, run, layout, day)
    elif whole:
        why += [Why("done_today"), *_no_run(run, day)]
    else:
        why += _rest(w, strength, run, layout, day)
    kept = [each for each in why if each.key == "kept"]
    return tuple(dict.fromkeys([*(each for each in why if each not in kept), *kept]))


def gave(w: Wishes, strength: Track, run: Track, broken: Sequence[tuple[str, int]]) -> tuple[Why, ...]:
    """What had to give: each broken wish once, with its days or with what was got of what was wanted."""
    missed = {"strength_missed": strength.wanted, "run_missed": run.wanted}
    told = []
    for name in TOLD:
        days = sorted(day for wish, day in broken if wish == name)
        if days and name in missed:
            wanted = missed[name]
            told.append(Why(f"gave_{name}", (("got", wanted - len(days)), ("wanted", wanted))))
        elif days:
            dates = tuple(w.today + day * DAY for day in dict.fromkeys(days))
            told.append(Why(f"gave_{name}", (("days", dates),)))
    return tuple(told)


def _news(w: Wishes, day: int, kind: int, whole: int) -> list[Why]:
    told = w.announced.get(w.today + day * DAY)
    if told is None:
        return []
    if told != KINDS[whole]:
        return [Why("changed", (("was", told.value),))]
    return [Why("kept")] if kind else []


def _session(strength: Track, run: Track, layout: Layout, day: int) -> list[Why]:
    kind = layout[day]
    if kind == BOTH:
        return [Why("both")]
    track = strength if kind == STRENGTH else run
    last = max((other for other in _days(track, layout, kind) if other < day), default=None)
    name = KINDS[kind].value
    if last is None:
        why = [Why(f"{name}_first")]
    elif day - last == 1:
        why = [Why(f"{name}_day_after")]
    else:
        why = [Why(name, (("days", day - last),))]
    return why + _no_run(run, day)


def _no_run(run: Track, day: int) -> list[Why]:
    """What keeps a run off a day that has a session, where that is worth a word."""
    barred = run.bars[day]
    return [barred] if run.wanted and barred and barred.key in ("before_match", "run_before_strength") else []


def _rest(w: Wishes, strength: Track, run: Track, layout: Layout, day: int) -> list[Why]:
    why = []
    for track, kind, wanted in ((strength, STRENGTH, w.strength_wanted), (run, RUN, w.run_wanted)):
        if wanted:
            barred = track.bars[day] or _filled(w, track, KINDS[kind].value, _days(track, layout, kind), day)
            why.append(barred or Why("recover"))
    return why or [Why("recover")]


def _days(track: Track, layout: Layout, kind: int) -> list[int]:
    """The days of this kind of session, really done or planned."""
    return sorted(track.past) + [day for day, holds in enumerate(layout) if holds & kind]


def _filled(w: Wishes, track: Track, kind: str, days: list[int], day: int) -> Why | None:
    """Why the sessions of the plan leave no room for one more on this day, or None."""
    planned = [other for other in days if other >= 0]
    if any(other < day < track.resume[other] for other in planned):
        return track.gap
    if coming := [other for other in planned if day < other < track.resume[day]]:
        return Why(f"{kind}_planned", (("day", w.today + coming[0] * DAY),))
    ends = [day, *(other for other in planned if other > day)]
    full = any(track.used[end] + sum(other <= end for other in planned) >= track.wanted for end in ends)
    return Why("week_full") if full else None
