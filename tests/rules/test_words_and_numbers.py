"""What athletes write, read and decided as published: signs of danger, scores, halves, and scores that are none."""

import pytest
from season import evening, level, started, trained
from walk import Walk

from coachbot.core.events import Answered, Flagged
from coachbot.core.reading import Kind, Reading, Unsure, flags, read
from coachbot.core.rules.morning import Bounds, verdict

ENGLISH = started().book.languages["en"]
TIERS = started().book.flags
SIGNS = [
    ("can't feel when I wipe", "emergency", "Finucane et al. 2020, JOSPT: cauda equina"),
    ("heard a pop, can't walk", "same-day", "van der Made et al. 2019, BJSM 53(7):390-392: avulsion"),
    ("calf swollen and I flew yesterday", "same-day", "Wells et al. 2003: deep vein thrombosis"),
    ("sitting-bone pain after a kick", "same-day", "van der Made et al. 2019: avulsion at the sitting bone"),
    ("pain shoots to my foot when I cough", "soon", "from memory: pain below the knee with cough points to the spine"),
    ("tight hamstring, sore 3/10 after sliders", None, "common practice, no source: ordinary soreness"),
    ("no numbness, no pop", None, "Chapman et al. 2001 (NegEx): a denied sign is none"),
]


@pytest.mark.parametrize(("text", "tier", "source"), SIGNS)
def test_words_have_their_tier(text, tier, source):
    tiers = {TIERS[found.flag].tier for found in flags(text, ENGLISH).alerts}
    assert tiers == ({tier} if tier else set()), source


@pytest.mark.parametrize(("text", "tier", "source"), SIGNS)
def test_words_lock_or_leave_the_training(text, tier, source):
    walk = started()
    walk.hear(text)
    assert (walk.state.hold is not None) is (tier in ("emergency", "same-day")), source


def test_under_18_is_seen_first():
    walk = Walk()
    walk.intake(age="16")
    assert {event.flag for event in walk.events if isinstance(event, Flagged)} == {"under-18"}
    assert walk.state.hold is not None
    assert walk.state.course == "enrolled"


@pytest.mark.parametrize(("text", "score"), [
    ("about a four and a half", 4.5), ("no pain", 0), ("2 then 5 by the end", 5), ("3-4", 4), ("4.5", 4.5), ("four", 4),
])  # fmt: skip
def test_score_is_read_at_its_worst(text, score):
    found = read(Kind.PAIN, text, ENGLISH)
    assert isinstance(found, Reading)
    assert found.value == score


@pytest.mark.parametrize("text", ["12/10", "pain? fine, bit tight", "11", "-1", "a lot"])
def test_no_score_is_asked_again(text):
    assert isinstance(read(Kind.PAIN, text, ENGLISH), Unsure)
    walk = started().on(3)
    walk.plainly(text)
    assert walk.state.talk.topic == "morning.walking"
    today = [event for event in walk.events if isinstance(event, Answered) and event.day == walk.now.date()]
    assert "walking" not in {event.slot for event in today}


def test_four_and_a_half_is_over_the_limit():
    # Hickey et al. 2020, JOSPT 50(2):91-103: the arm with pain allowed ended at 4; a half above it is above it
    walk = evening(started(), 2, work="3x8", pain="about a four and a half")
    assert walk.state.ladders["slider"].over == 1


def test_rise_in_the_session_counts_as_its_end():
    walk = evening(started(), 2, work="3x8", pain="2 then 5 by the end")
    assert walk.state.ladders["slider"].over == 1


TOGETHER = [("4", "1", True), ("4", "2", False), ("4", "3", False), ("5", "0", False)]


@pytest.mark.parametrize(("pain", "score", "rises"), TOGETHER)
def test_day_and_morning_decide_together(pain, score, rises):
    # the 24-hour rule (common practice, no source) around Farrar et al. 2001, Pain 94:149-158
    walk = trained(score, work="3x8", pain=pain)
    assert (level(walk, "slider") == 2) is rises


CHANGES = [(4, 6, True), (2, 3, False), (7, 9, True), (2, 4, True), (0, 1, False)]


@pytest.mark.parametrize(("before", "now", "real"), CHANGES)
def test_two_points_are_a_real_change(before, now, real):
    # Farrar et al. 2001, Pain 94:149-158: 2 points or 30 %; one point is noise even where it is a third of the score
    wide = Bounds(base_mornings=3, rise_counts=1, rise_rest=99, score_rest=99, limit=10)
    assert (verdict(now, before, wide)[0] != "counts") is real
