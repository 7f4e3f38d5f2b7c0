"""A clinician may set the bounds of two running stages so that they meet or overlap: no stage is a trap."""

import pytest
from play import Play

BOUNDS = [
    {"stages.1.last": 60, "stages.2.first": 60},
    {"stages.1.last": 60, "stages.2.first": 50},
    {"stages.1.first": 40, "stages.1.last": 40},
    {"stages.2.first": 70, "stages.2.last": 70},
    {},
]


def speeds(bounds: dict[str, float]) -> list[float]:
    """The speeds prescribed in three weeks of painless runs."""
    play = Play().approved()
    for key, value in bounds.items():
        play.act(f"limit {key} {value} careful")
    assert dict(play.state.limits) == bounds
    for day in range(1, 22):
        play.on(day).morning("0")
        if play.state.session and play.state.session.open:
            play.on(day, 18).report()
    return [line.percent for issued in play.issued for line in issued.lines if line.kind == "run"]


@pytest.mark.parametrize("bounds", BOUNDS, ids=str)
def test_runner_leaves_every_slow_stage(bounds):
    run = speeds(bounds)
    assert run == sorted(run)
    assert run[-1] == bounds.get("stages.2.last", 80)
