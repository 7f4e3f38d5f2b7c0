"""What must never happen, lines 1 to 5, one named test and more a line; each case is judged after each step as well."""

from dataclasses import replace

import pytest
from season import days, facts, loads, started
from walk import Walk

from coachbot.core import events as e
from coachbot.core.rules.today import prescribe
from coachbot.core.state import Hold, apply
from coachbot.core.turn import Turn

POP = "felt a pop"


# ---- 1 ----


def test_nothing_issued_before_approval():
    walk = Walk().intake()
    for day in range(1, 9):
        walk.on(day)
        walk.hear("hello")
        walk.hear("0 no")
        walk.hear("done")
    assert walk.state.course == "screened"
    assert walk.issued == []


def test_nothing_issued_while_held():
    walk = started()
    walk.hear(POP)
    before = len(walk.issued)
    for day in range(3, 9):
        walk.on(day)
        walk.morning()
        walk.hear("done")
    assert walk.state.hold
    assert len(walk.issued) == before


def test_nothing_issued_once_closed():
    walk = started()
    walk.act("close season over")
    before = len(walk.issued)
    walk.hear("correct")
    walk.hear("0")
    for day in range(3, 6):
        walk.on(day)
        walk.hear("hello")
        walk.hear("0 no")
    assert walk.state.course == "closed"
    assert len(walk.issued) == before


@pytest.mark.parametrize("barred", ["held", "unapproved", "closed", "screened", "no score today"])
def test_nothing_is_issued_to_whom_it_is_barred(barred):
    walk = started()
    changes = {
        "held": {"hold": Hold(walk.now, "coach", e.Reason(rule="hold.clinician"))},
        "unapproved": {"approved_by": None},
        "closed": {"course": "closed"},
        "screened": {"course": "screened"},
        "no score today": {"mornings": ()},
    }
    turn = Turn(replace(walk.state, sessions=(), **changes[barred]), walk.book, walk.now)
    prescribe(turn)
    assert turn.finish().facts == ()


def test_release_issues_nothing_without_a_check_in():
    walk = started()
    walk.hear(POP)
    walk.on(3, 7)
    before = len(walk.issued)
    walk.act("release seen, tender only")
    assert walk.state.hold is None
    assert len(walk.issued) == before


# ---- 2 ----


def test_no_run_without_a_score():
    walk = days(Walk().approved(), 1, 6)
    before = len(walk.issued)
    walk.on(7, 12)
    walk.hear("done")
    walk.act("note on the way")
    assert len(walk.issued) == before


@pytest.mark.parametrize("score", ["4.5", "5", "6", "3 then 5"])
def test_no_run_over_the_limit(score):
    walk = days(Walk().approved(), 1, 5)
    for day in range(5, 12):
        walk.on(day)
        walk.morning(score, response="good")
        walk.act("ack")
        assert not any(line.kind == "run" for line in walk.issued[-1].lines)


def test_limit_score_still_runs():
    walk = Walk().approved()
    for day in range(1, 9):
        walk.on(day)
        walk.morning("4")
        walk.act("ack")
    assert any(line.kind == "run" for issued in walk.issued for line in issued.lines)


def test_no_early_run_without_a_word():
    walk = days(Walk().approved(), 1, 5)
    assert not any(line.kind == "run" for issued in walk.issued for line in issued.lines)
    earlier = Walk().approved()
    earlier.act("open early-run walked well in clinic")
    days(earlier, 1, 5)
    assert any(line.kind == "run" for issued in earlier.issued for line in issued.lines)


# ---- 3 ----


@pytest.mark.parametrize("work", ["3x4", "2 of 3", "none"])
def test_level_waits_for_its_pass(work):
    walk = days(Walk().approved("slider hinge"), 1, 16, work=work)
    assert {line.level for issued in loads(walk) for line in issued.lines if line.kind == "work"} == {1}


def test_speed_waits_for_its_pass():
    walk = days(Walk().approved(), 1, 16, run="2 reps, 100 %, pain 0")
    assert {line.percent for issued in loads(walk) for line in issued.lines if line.kind == "run"} == {30}


def test_waiver_names_its_clinician():
    walk = started()
    walk.act("waive slider 3 done in clinic")
    walk.on(3)
    walk.morning()
    walk.on(4)
    walk.morning()
    assert any(line.level == 3 for line in walk.issued[-1].lines if line.kind == "work")
    moved = [fact for fact in facts(walk, e.Stepped) if fact.to == 3]
    assert [fact.by for fact in moved] == ["dr-lee"]


# ---- 4 ----


@pytest.mark.parametrize("pain", ["4.5", "5", "6"])
def test_nothing_rises_on_pain(pain):
    walk = days(Walk().approved("slider hinge"), 1, 12, pain=pain, full="full range")
    assert all(fact.to == 1 or fact.to == 30 for fact in facts(walk, e.Stepped))


def test_nothing_rises_after_a_missing_morning():
    walk = started()
    walk.on(2, 18)
    walk.report()
    walk.on(4)
    walk.morning()
    assert {rung.level for rung in walk.state.ladders.values()} == {1}


def test_nothing_rises_on_a_sore_morning():
    walk = started()
    walk.on(2, 18)
    walk.report()
    walk.on(3)
    walk.morning("2")
    assert {rung.level for rung in walk.state.ladders.values()} == {1}


def test_corrected_pain_takes_the_rise_back():
    walk = started()
    walk.on(2, 18)
    walk.report()
    walk.on(3)
    walk.hear("hello")
    walk.hear("0")
    walk.hear("no")
    walk.plainly("good")
    assert {rung.level for rung in walk.state.ladders.values()} == {2}
    walk.hear("correct")
    walk.plainly("worse")
    assert {rung.level for rung in walk.state.ladders.values()} == {1}


# ---- 5 ----


@pytest.mark.parametrize("at", ["before the check-in", "in the check-in", "after the session", "in the report"])
def test_red_flag_holds_and_alerts(at):
    walk = started()
    walk.on(2, 18)
    if at == "in the report":
        walk.hear("done")
    if at == "after the session":
        walk.report()
    if "check-in" in at:
        walk.on(3)
    if at == "in the check-in":
        walk.hear("0")
    walk.hear(POP)
    kinds = [type(fact) for fact in walk.last]
    assert kinds.index(e.Flagged) < kinds.index(e.Held) < kinds.index(e.Alerted)
    assert e.Prescribed not in kinds
    assert [alert.to for alert in walk.alerts] == ["dr-lee"]
    assert "stop" in walk.told("athlete").lower()


def test_red_flag_spoils_the_session_before():
    walk = started()
    walk.on(2, 18)
    walk.report()
    walk.hear(POP)
    walk.act("release nothing found")
    walk.on(3)
    walk.morning()
    assert {rung.level for rung in walk.state.ladders.values()} == {1}


@pytest.mark.parametrize("answer", ["8", "7", "9.5"])
def test_strong_pain_is_kept_and_holds(answer):
    walk = started()
    walk.on(2, 18)
    walk.hear("done")
    walk.plainly(f"3x8, full range, pain {answer}")
    assert walk.state.hold
    assert [fact.pain for fact in facts(walk, e.Trained)] == [float(answer)]
    assert facts(walk, e.Trained)[0].complete is False


def test_sign_is_not_silenced_by_a_correction():
    walk = Walk().approved().on(1)
    walk.hear("0")
    walk.hear("yes")
    walk.hear("correct")
    walk.hear("no")
    assert walk.state.hold
    assert [alert.taken_by for alert in walk.state.alerts.values()] == [None]


def doubted() -> Walk:
    """A case in which the closed question about unclear words is open."""
    walk = started()
    asked = e.Asked(at=walk.now, topic="doubt.settle", quote="buzzing", pending="buzzing", over=True)
    walk.state = apply(walk.state, asked)
    return walk


def test_unanswered_doubt_holds():
    walk = doubted()
    for _ in range(3):
        walk.hear("banana")
    assert walk.state.hold
    assert [alert.flag for alert in walk.state.alerts.values()] == ["unclear-answer"]


def test_silence_after_a_doubt_holds():
    walk = doubted()
    walk.on(2, 20)
    assert walk.state.hold


def test_denied_doubt_holds_nothing():
    walk = doubted()
    walk.hear("no")
    assert walk.state.hold is None
