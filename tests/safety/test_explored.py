"""Every sequence of a small alphabet of days, states that look alike walked once: the judge finds nothing in any."""

import pytest
from walk import Walk

DEEP = 4
ENOUGH = 500
MORNINGS = ("0", "2", "4.5", "missed")
EVENINGS = (("all sets", "full range", "0"), ("all sets", "half range", "0"), ("3x8", "full range", "5"), None)


def alike(walk: Walk) -> tuple:
    """What the next days depend on: course, hold, levels, the last sessions and mornings, what is open."""
    state = walk.state
    rungs = {**state.ladders, "run": state.run}
    stands = tuple(
        (item, rung.level, rung.fewer, rung.passes, rung.over, rung.last_done, rung.not_before, rung.proposed)
        for item, rung in sorted(rungs.items())
        if rung
    )
    sessions = tuple((s.day, s.verdict, s.skipped, tuple(n.pain for n in s.results.values())) for s in state.sessions[-3:])
    mornings = tuple((m.day, m.walking) for m in state.mornings[-3:])
    flags = tuple(sorted({f.flag for f in state.flagged}))
    return state.course, state.hold, stands, sessions, mornings, flags, tuple(state.announced.items())


def after(walk: Walk, day: int, morning: str, evening: tuple[str, str, str] | None) -> Walk:
    """One more day, played on a fork of the case."""
    walk = walk.fork()
    walk.on(day)
    if morning != "missed":
        walk.morning(morning)
        walk.act("ack")
    if evening and walk.state.session and walk.state.session.open:
        walk.on(day, 18)
        work, full, pain = evening
        walk.report(work, full, pain)
    return walk


@pytest.mark.parametrize("approval", ["approve", "approve signed"])
def test_every_short_case_breaks_nothing(approval):
    start = Walk().intake()
    start.act(approval)
    start.act("open early-run walked well in clinic")
    seen, front, steps = {alike(start)}, [start.on(2, 6)], 0
    for day in range(2, 2 + DEEP):
        coming = []
        for walk in front:
            for morning in MORNINGS:
                for evening in EVENINGS if morning in ("0", "2") else EVENINGS[:1]:
                    further = after(walk, day, morning, evening)
                    steps += len(further.steps) - len(walk.steps)
                    if (state := alike(further)) not in seen:
                        seen.add(state)
                        coming.append(further)
        front = coming
    assert len(seen) > ENOUGH
    assert all(walk.refolds() for walk in front[:: len(front) // 20 + 1])
