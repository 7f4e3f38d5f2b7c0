"""Every sequence of a small alphabet of days, states that look alike walked once: the judge finds nothing in any."""

from collections.abc import Iterator

import pytest
from walk import Walk

DAYS = {
    "0": (
        ("all sets", "full range", "0"),
        ("all sets", "half range", "0"),
        ("3x8", "full range", "5"),
        None,
    ),
    "2": (("all sets", "full range", "1"),),
    "4.5": (None,),
    "missed": (None,),
}
"""For each score of a morning the reports of the evening, if there was something to do."""


class Explorer(Walk):
    """A judged case that notes every state it was in, together with all its forks."""

    seen: set[tuple]

    def _take(self, arrival) -> str:
        said = super()._take(arrival)
        self.seen.add(alike(self))
        return said


def alike(walk: Walk) -> tuple:
    """What comes next depends on: course, hold, talk, levels, the last sessions and mornings, signs and plan."""
    state = walk.state
    rungs = {**state.ladders, "run": state.run}
    stands = tuple(
        (item, rung.level, rung.fewer, rung.passes, rung.over, rung.last_done, rung.not_before, rung.proposed)
        for item, rung in sorted(rungs.items())
        if rung
    )
    last = state.sessions[-3:]
    sessions = tuple((s.day, s.verdict, s.skipped, tuple(n.pain for n in s.results.values())) for s in last)
    mornings = tuple((m.day, m.walking) for m in state.mornings[-3:])
    signs = tuple(sorted({f.flag for f in state.flagged}))
    talk = (state.talk.topic, state.talk.told)
    return state.course, state.hold is None, talk, stands, sessions, mornings, signs, tuple(state.announced.items())


def after(walk: Explorer, day: int) -> Iterator[Explorer]:
    """One more day, each in turn, played on forks of the case; what mornings have in common is played once."""
    for morning, evenings in DAYS.items():
        begun = walk.fork()
        begun.on(day)
        if morning != "missed":
            begun.morning(morning)
            begun.act("ack")
        yield from (closed(begun.fork(), day, evening) for evening in evenings)


def closed(walk: Explorer, day: int, evening: tuple[str, str, str] | None) -> Explorer:
    if evening and walk.state.session and walk.state.session.open:
        walk.on(day, 18)
        walk.report(*evening)
    return walk


@pytest.mark.parametrize(
    ("approval", "deep", "enough"), [("approve slider hinge", 4, 3_000), ("approve nordic hinge signed", 3, 500)]
)
def test_every_short_case_breaks_nothing(approval, deep, enough):
    start = Explorer()
    start.seen = set()
    start.intake().act(approval)
    start.act("open early-run walked well in clinic")
    front = {alike(start): start.on(2, 6)}
    for day in range(2, 2 + deep):
        further = [later for walk in front.values() for later in after(walk, day)]
        front = {alike(walk): walk for walk in further}
    assert len(start.seen) > enough
    assert all(walk.refolds() for walk in [*front.values()][:: len(front) // 20 + 1])
