"""The weight on the last level: first told, then two-for-two, to a weight the athlete has."""

import pytest
from course import train
from play import Play

from coachbot.core.events import Loaded, Proposed


def loads(play: Play) -> list[tuple[float, int, str]]:
    facts = [e for e in play.events if isinstance(e, Loaded) and e.family == "hinge"]
    return [(e.kilograms, e.repetitions, e.reason.rule) for e in facts]


def lifted(last_day: int, before=None, **report: str) -> Play:
    play = Play().approved("slider hinge")
    for line in before or ():
        play.act(line)
    return train(play, 1, last_day, **report)


def test_first_weight_is_the_athletes():
    assert loads(lifted(7, work="3x8 with 40 kg"))[-1] == (40.0, 0, "weight.told")


def test_no_rise_inside_the_range():
    # 2-for-2 rule of Baechle & Earle (second-hand): two more than the goal, on two sessions
    assert {kg for kg, _, _ in loads(lifted(20, work="3x9 with 40 kg"))} == {40.0}


def test_two_for_two_raises():
    # 2.5 to 10 % (ACSM 2009, from memory), here to the next step of 1.25 kg that is at least 2.5 %
    assert loads(lifted(13, work="3x10 with 40 kg"))[-1] == (41.25, 0, "weight.heavier")


def test_weights_at_hand_decide():
    play = lifted(13, ["weights 20 30 40 42.5 50"], work="3x10 with 40 kg")
    assert loads(play)[-1][:2] == (42.5, 0)


def test_far_weight_means_repetitions():
    # a 2 kg step at 6 kg is 33 %: repetitions instead (identity)
    play = lifted(13, ["weights 6 8"], work="3x10 with 6 kg")
    assert loads(play)[-1] == (6.0, 2, "weight.more_reps")
    line = next(x for x in play.issued[-1].lines if getattr(x, "family", "") == "hinge")
    assert (line.reps_low, line.reps_high, line.load) == (8, 10, 6.0)


def test_signed_weight_waits():
    play = Play().approved("slider hinge signed")
    for day in range(1, 25):
        train(play, day, day, work="3x10 with 40 kg")
        waiting = [e for e in play.events if isinstance(e, Proposed) and e.weight and e.item == "hinge"]
        if waiting:
            break
        play.act("confirm")
    assert waiting and play.state.ladders["hinge"].load == 40
    assert "41.25 kg" in play.act("confirm")
    assert play.state.ladders["hinge"].load == 41.25


def test_clinician_sets_a_weight():
    play = lifted(7)
    assert "with 30 kg" in play.act("weight hinge 30")
    assert play.state.ladders["hinge"].load == 30


def test_estimate_names_its_formula():
    # Epley: 40 x (1 + 8 / 30) = 50.7 (from memory)
    assert "at least 51 kg (Epley" in lifted(8, work="3x8 with 40 kg").act("load")


@pytest.mark.parametrize("line", ["weight hinge", "weight nordic 10", "weight hinge -5", "weights none"])
def test_odd_weights_change_nothing(line):
    assert "Nothing changed" in lifted(4).act(line)
