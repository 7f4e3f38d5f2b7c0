"""Eight criteria with numbers and age: what counts, what does not, and that nobody is cleared at seven of eight."""

import re
from functools import cache

import pytest
from course import CRITERIA, gathering
from play import Play

from coachbot import handbook
from coachbot.core.events import Acted
from coachbot.core.rules.readiness import CRITERIA as NAMES, criteria
from coachbot.core.state import fold
from coachbot.core.turn import Turn

CLEARED = re.compile(r"\b(cleared|clearance|fit to (play|compete)|ready to (play|return|compete)|safe to)\b", re.I)


@cache
def _collected() -> tuple[tuple, int]:
    play, day = gathering()
    return tuple(play.events), day


def collecting() -> Play:
    """A case that collects its criteria, made once and copied."""
    events, _ = _collected()
    play = Play()
    play.events, play.state = list(events), fold(events)
    play.now = events[-1].at
    return play


def standing(play: Play) -> dict[str, str]:
    return {criterion.name: criterion.standing for criterion in criteria(Turn(play.state, play.book, play.now))}


def all_but_signature() -> Play:
    play = collecting()
    for line in (*CRITERIA, "measure confidence 90 80 90 90 80 90", "measure team session 2"):
        assert "Recorded" in play.act(line), line
    play.later(days=1)
    play.act("measure sport test 0")
    return play


def test_there_are_eight():
    # programme of the return to sport: criterion 8 is the signature (van der Horst 2017; Zambaldi 2017)
    assert len(NAMES) == 8
    assert list(NAMES)[-1] == "signature"


def test_nothing_measured_is_missing():
    play = collecting()
    assert set(standing(play).values()) == {"missing"}
    assert play.act("readiness").startswith("Sam: 0 of 8 criteria.")


def test_seven_of_eight_is_not_cleared():
    play = all_but_signature()
    said = play.act("readiness")
    assert said.startswith("Sam: 7 of 8 criteria.\nWhat is missing: signature of a clinician.")
    said += play.act("week") + play.act("load") + play.act("outlook") + play.act("summary") + play.hear("week")
    said += play.hear("why") + play.hear("help")
    assert CLEARED.findall(said) == []


def test_signature_is_the_last_gate():
    play = all_but_signature()
    play.act("sign all criteria seen")
    assert play.act("readiness").startswith("Sam: 8 of 8 criteria.\nNothing is missing.")
    assert play.state.cleared_by == "dr-lee"


@pytest.mark.parametrize("test", ["palpation", "strength pain", "flexibility pain"])
def test_pain_closes_its_gate(test):
    play = all_but_signature()
    play.act(f"measure {test} 1")
    assert standing(play)[test.replace(" ", "-")] == "not-met"


@pytest.mark.parametrize(("injured", "stands"), [(150, "not-met"), (151, "not-met"), (152.9, "met"), (160, "met")])
def test_range_within_a_tenth(injured, stands):
    # CV-28 in form: 88 % fails at the default of 90 %, common practice, no source
    play = all_but_signature()
    play.act(f"measure knee extension {injured} 169.8")
    assert standing(play)["range"] == stands


def test_noise_is_said():
    # Neto et al. 2015, doi 10.1123/jsr.2014-0220: same tester 7-8 degrees
    play = all_but_signature()
    assert "inside the error" in play.act("measure knee extension 165 172")
    assert "inside the error" not in play.act("measure knee extension 160 172")


def test_two_testers_have_more_noise():
    # Reurink et al. 2013, doi 10.1177/0363546513490650: 15 degrees between testers (CV-24, CV-25)
    play = all_but_signature()
    said = play.act("measure knee extension 160 172", by="dr-two")
    assert "inside the error" not in said
    sound = [e.model_copy(update={"by": "dr-lee"}) if getattr(e, "side", "") == "sound" else e for e in play.events]
    play.state = fold(sound)
    assert "inside the error" in play.act("readiness")


@pytest.mark.parametrize(("items", "score", "stands"), [
    ("80 80 80 80 80 80", 48, "not-met"), ("100 100 100 100 100 100", 60, "met"), ("0 0 0 0 0 0", 0, "not-met"),
])  # fmt: skip
def test_confidence_is_a_sum(items, score, stands):
    # CV-27: Glazer 2009, doi 10.4085/1062-6050-44.2.185; the line of 50 from memory
    play = all_but_signature()
    play.act(f"measure confidence {items}")
    assert standing(play)["confidence"] == stands
    assert f"{score} of 60" in play.act("readiness")


def test_old_measurements_are_taken_again():
    play = all_but_signature()
    play.later(days=8)
    assert standing(play)["palpation"] == "old"
    assert "no pain on palpation: measure again, too old" in play.act("readiness")


def test_one_quiet_day_is_not_two():
    play = collecting()
    play.act("measure sport test 0")
    assert standing(play)["full-effort"] == "not-met"


def test_waiver_needs_a_reason():
    play = collecting()
    assert "Nothing changed" in play.act("criterion team-session")
    assert "Waived for Sam" in play.act("criterion team-session no team in the summer")
    assert standing(play)["team-session"] == "waived"
    assert "waived by dr-lee: no team in the summer" in play.act("readiness")


def test_signature_cannot_be_waived():
    play = all_but_signature()
    assert "Nothing changed" in play.act("criterion signature trust me")
    assert standing(play)["signature"] == "missing"


@pytest.mark.parametrize("line", [
    "measure", "measure palpation", "measure palpation 11", "measure knee extension 170", "measure confidence 80 80",
    "measure confidence 81 80 80 80 80 80", "measure mood 3", "measure palpation 0 2199-01-01",
    "measure strength 1 2 3",
])  # fmt: skip
def test_odd_measurements_change_nothing(line):
    play = collecting()
    before = play.state.measured
    assert "Nothing changed" in play.act(line)
    assert play.state.measured == before


def test_facts_name_who_and_when():
    play = all_but_signature()
    assert all(m.by and m.day and m.unit for m in play.state.measured)
    assert isinstance(play.last[0], Acted)


def test_no_text_clears_early():
    # The word and its equals stand in no text of any language but those said after the signature.
    texts = handbook.load().texts
    wrong = [
        (code, key)
        for code, each in texts.items()
        for key, entry in each.entries.items()
        if re.search(r"\b(cleared|fit to play|ready to return|safe to return)\b", str(entry), re.I)
        and key not in ("cleared.athlete", "desk.cleared", "desk.not_cleared", "not_cleared.athlete")
    ]
    assert wrong == []
