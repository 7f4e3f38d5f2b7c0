"""What must never happen, lines 6 to 12: alerts, fast running, gaps, words, people, and counting twice."""

from itertools import pairwise

import pytest
from oracle import CLEARING
from season import days, facts, started
from walk import Walk

from coachbot.core import events as e
from coachbot.core.effects import TEAM
from coachbot.core.state import State, apply
from coachbot.core.step import next_wake, step

WEEKS = 40
POP = "felt a pop"


# ---- 6 ----


def test_alert_is_sent_until_taken():
    walk = started()
    walk.hear("i cant feel when i wipe")
    walk.on(3, 8)
    sent = facts(walk, e.Alerted)
    assert len(sent) > WEEKS
    assert {fact.to for fact in sent} == {"dr-lee", "dr-two"}
    walk.act("ack")
    walk.on(9, 8)
    assert len(facts(walk, e.Alerted)) == len(sent)


def test_only_a_person_takes_an_alert():
    walk = started()
    walk.hear(POP)
    for text in ("ack", "acknowledge", "release", "0 no", "my clinician has seen it"):
        walk.hear(text)
    walk.on(5)
    assert facts(walk, e.Acknowledged) == []
    walk.act("ack", by="dr-two")
    assert [fact.by for fact in facts(walk, e.Acknowledged)] == ["dr-two"]


def test_open_alert_always_wakes():
    walk = started()
    walk.hear(POP)
    for hours in range(1, 48):
        walk.on(2, 9 + hours / 10)
        due = next_wake(walk.state, walk.book)
        assert due is not None
        assert due >= walk.now


# ---- 7 ----


def test_no_fast_run_before_the_word():
    walk = days(Walk().approved(), 1, WEEKS)
    runs = [line for issued in walk.issued for line in issued.lines if line.kind == "run"]
    assert max(max(line.percent, line.up_to) for line in runs) == 80
    walk.act("open fast strong in clinic")
    days(walk, WEEKS, WEEKS + 6)
    assert max(line.percent for issued in walk.issued for line in issued.lines if line.kind == "run") > 80


def test_waived_speed_still_wants_the_word():
    walk = days(Walk().approved(), 1, 6)
    walk.act("waive run 100 ran in clinic")
    days(walk, 6, 10)
    runs = [line for issued in walk.issued for line in issued.lines if line.kind == "run"]
    assert max(max(line.percent, line.up_to) for line in runs) == 80


def test_lower_bound_of_fast_wants_the_word():
    walk = Walk().approved()
    walk.act("limit running.fast_above 70 careful")
    days(walk, 1, WEEKS)
    runs = [line for issued in walk.issued for line in issued.lines if line.kind == "run"]
    assert max(max(line.percent, line.up_to) for line in runs) == 70


# ---- 8 ----


def spaced(walk: Walk, kind: str, lowest: float = 0) -> list[int]:
    """Days between two issued sessions of a kind."""
    said = [i.day for i in walk.issued if any(n.kind == kind and n.reported and top(n) >= lowest for n in i.lines)]
    return [(later - earlier).days for earlier, later in pairwise(said)]


def top(line) -> float:
    """The speed a line asks for."""
    return line.percent if line.kind == "run" else 0


@pytest.mark.parametrize("free", ["every day", "mon tue", "thu fri sat"])
@pytest.mark.parametrize("reported", [True, False])
def test_strength_days_keep_their_gap(reported, free):
    walk = Walk().approved(days=free)
    for day in range(1, 25):
        walk.on(day)
        walk.morning()
        if reported and walk.state.session and walk.state.session.open:
            walk.on(day, 18)
            walk.report()
    assert min(spaced(walk, "work")) >= 2


@pytest.mark.parametrize("free", ["every day", "mon tue", "thu fri sat"])
def test_fast_runs_keep_their_gap(free):
    walk = Walk().approved(days=free)
    walk.act("open fast strong in clinic")
    days(walk, 1, WEEKS)
    assert min(spaced(walk, "run", lowest=80)) >= 2


def test_run_comes_before_strength():
    walk = days(Walk().approved(days="mon wed"), 1, WEEKS)
    issued = [i for i in walk.issued if {line.kind for line in i.lines} > {"work"}]
    both = [[line.kind for line in i.lines if line.reported] for i in issued]
    assert both
    assert all(kinds[0] == "run" and "run" not in kinds[1:] for kinds in both)


# ---- 9 ----


def test_nothing_says_cleared_before_the_signature():
    walk = Walk().approved()
    walk.act("open fast strong in clinic")
    days(walk, 1, WEEKS)
    assert walk.state.course == "testing"
    walk.hear("am i cleared? can i play?")
    walk.hear("no")
    walk.act("sign all criteria seen")
    assert walk.state.course == "returned"
    assert CLEARING.search(walk.told("athlete"))


def test_nobody_signs_early():
    walk = days(Walk().approved(), 1, 12)
    walk.act("sign all criteria seen")
    assert walk.state.course == "building"
    assert walk.state.cleared_by is None


# ---- 10 ----


def test_athlete_changes_nothing_of_the_clinicians():
    walk = started()
    for text in ("limit pain.limit 9", "open fast", "release me", "waive run 100 now", "approve", "sign", "confirm"):
        walk.hear(text)
        if walk.state.talk.dialog == "doubt":
            walk.hear("no")
    assert not facts(walk, e.Limited) + facts(walk, e.Opened) + facts(walk, e.Released) + facts(walk, e.Closed)


STRANGE = ["release seen", "limit pain.limit 5 ok", "open fast ok", "ack", "close", "waive run 60 ok"]


@pytest.mark.parametrize("line", STRANGE)
def test_stranger_changes_nothing(line):
    walk = started()
    walk.hear(POP)
    before = walk.state
    walk.act(line, by="sam")
    for name in ("hold", "limits", "opened", "course", "ladders", "alerts"):
        assert getattr(walk.state, name) == getattr(before, name)
    assert not facts(walk, e.Acknowledged)


def test_cases_share_nothing():
    walk, other = started(), Walk()
    before = other.state
    walk.hear(POP)
    assert other.state is before
    enrolled = other.events[0]
    assert isinstance(enrolled, e.Enrolled)
    assert apply(State(case="sam"), enrolled) == before


def test_team_hears_no_scores():
    walk = Walk().approved()
    walk.act("open fast strong in clinic")
    days(walk, 1, WEEKS)
    walk.act("sign all criteria seen")
    assert [effect for done in walk.steps for effect in done.effects if effect.to == TEAM] == []


# ---- 12 ----


def test_same_report_counts_once():
    walk = started()
    walk.on(2, 18)
    walk.report()
    told = len(facts(walk, e.Trained))
    walk.hear("done")
    walk.hear("3x8, full range, pain 0")
    assert len(facts(walk, e.Trained)) == told


def test_every_accepted_answer_is_kept():
    walk = days(Walk().approved(), 1, 12)
    for event in facts(walk, e.Answered):
        assert walk.state.answers[event.slot].at >= event.at
    told = [fact.pain for fact in facts(walk, e.Trained)]
    scores = [fact for fact in facts(walk, e.Answered) if fact.slot in ("work_pain", "run_pain")]
    said = [float(str(fact.value)) for fact in scores]
    assert told == said


def test_case_resumes_from_its_facts():
    walk = days(Walk().approved(), 1, 12)
    assert walk.refolds()
    again = step(walk.state, walk.steps[-1].facts[0], walk.book)
    assert again == step(walk.state, walk.steps[-1].facts[0], walk.book)
