"""What must never happen, one named test a line; every case here is judged after each of its steps as well."""

from itertools import pairwise

import pytest
from oracle import CLEARING
from walk import Walk

from coachbot.core import events as e
from coachbot.core.effects import TEAM
from coachbot.core.state import State, apply
from coachbot.core.step import next_wake, step

WEEKS = 40
POP = "felt a pop"


def facts(walk: Walk, kind: type) -> list:
    """All facts of a kind."""
    return [event for event in walk.events if isinstance(event, kind)]


def loads(walk: Walk) -> list[e.Prescribed]:
    """The issued sessions with lines that load the leg."""
    return [issued for issued in walk.issued if any(line.reported for line in issued.lines)]


def days(walk: Walk, first: int, last: int, **report: str) -> Walk:
    """Ordinary days: the check-in in the morning and, when there was a session, its report in the evening."""
    for day in range(first, last):
        walk.on(day)
        walk.morning()
        if walk.state.session and walk.state.session.open:
            walk.on(day, 18)
            walk.report(**report)
    return walk


def training(**answers: str) -> Walk:
    """An approved case on the morning of the first session."""
    walk = Walk().approved(**answers).on(2)
    walk.morning()
    assert loads(walk), "training has begun"
    return walk


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
    walk = training()
    walk.hear(POP)
    before = len(walk.issued)
    for day in range(3, 9):
        walk.on(day)
        walk.morning()
        walk.hear("done")
    assert walk.state.hold
    assert len(walk.issued) == before


def test_nothing_issued_once_closed():
    walk = training()
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


def test_release_issues_nothing_without_a_check_in():
    walk = training()
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
    walk = training()
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
    walk = training()
    walk.on(2, 18)
    walk.report()
    walk.on(4)
    walk.morning()
    assert {rung.level for rung in walk.state.ladders.values()} == {1}


def test_nothing_rises_on_a_sore_morning():
    walk = training()
    walk.on(2, 18)
    walk.report()
    walk.on(3)
    walk.morning("2")
    assert {rung.level for rung in walk.state.ladders.values()} == {1}


def test_corrected_pain_takes_the_rise_back():
    walk = training()
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
    walk = training()
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
    walk = training()
    walk.on(2, 18)
    walk.report()
    walk.hear(POP)
    walk.act("release nothing found")
    walk.on(3)
    walk.morning()
    assert {rung.level for rung in walk.state.ladders.values()} == {1}


@pytest.mark.parametrize("answer", ["8", "7", "9.5"])
def test_strong_pain_is_kept_and_holds(answer):
    walk = training()
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


def test_unanswered_doubt_holds():
    walk = training()
    walk.hear("weird buzzing thing in my hammy")
    if walk.state.talk.dialog == "doubt":
        walk.hear("banana")
        walk.hear("banana")
    assert walk.state.hold


# ---- 6 ----


def test_alert_is_sent_until_taken():
    walk = training()
    walk.hear("i cant feel when i wipe")
    walk.on(3, 8)
    sent = facts(walk, e.Alerted)
    assert len(sent) > WEEKS
    assert {fact.to for fact in sent} == {"dr-lee", "dr-two"}
    walk.act("ack")
    walk.on(9, 8)
    assert len(facts(walk, e.Alerted)) == len(sent)


def test_only_a_person_takes_an_alert():
    walk = training()
    walk.hear(POP)
    for text in ("ack", "acknowledge", "release", "0 no", "my clinician has seen it"):
        walk.hear(text)
    walk.on(5)
    assert facts(walk, e.Acknowledged) == []
    walk.act("ack", by="dr-two")
    assert [fact.by for fact in facts(walk, e.Acknowledged)] == ["dr-two"]


def test_open_alert_always_wakes():
    walk = training()
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
    """The fastest speed a line allows."""
    return line.up_to if line.kind == "run" else 0


@pytest.mark.parametrize("reported", [True, False])
def test_strength_days_keep_their_gap(reported):
    walk = Walk().approved()
    for day in range(1, 25):
        walk.on(day)
        walk.morning()
        if reported and walk.state.session and walk.state.session.open:
            walk.on(day, 18)
            walk.report()
    assert min(spaced(walk, "work")) >= 2


def test_fast_runs_keep_their_gap():
    walk = Walk().approved()
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
    walk.act("sign all gates seen")
    assert walk.state.course == "returned"
    assert CLEARING.search(walk.told("athlete"))


def test_nobody_signs_early():
    walk = days(Walk().approved(), 1, 12)
    walk.act("sign all gates seen")
    assert walk.state.course == "building"
    assert walk.state.cleared_by is None


# ---- 10 ----


def test_athlete_changes_nothing_of_the_clinicians():
    walk = training()
    for text in ("limit pain.limit 9", "open fast", "release me", "waive run 100 now", "approve", "sign", "confirm"):
        walk.hear(text)
        if walk.state.talk.dialog == "doubt":
            walk.hear("no")
    assert not facts(walk, e.Limited) + facts(walk, e.Opened) + facts(walk, e.Released) + facts(walk, e.Closed)


STRANGE = ["release seen", "limit pain.limit 5 ok", "open fast ok", "ack", "close", "waive run 60 ok"]


@pytest.mark.parametrize("line", STRANGE)
def test_stranger_changes_nothing(line):
    walk = training()
    walk.hear(POP)
    before = walk.state
    walk.act(line, by="sam")
    for name in ("hold", "limits", "opened", "course", "ladders", "alerts"):
        assert getattr(walk.state, name) == getattr(before, name)
    assert not facts(walk, e.Acknowledged)


def test_cases_share_nothing():
    walk, other = training(), Walk()
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
    walk.act("sign all gates seen")
    assert [effect for done in walk.steps for effect in done.effects if effect.to == TEAM] == []


# ---- 12 ----


def test_same_report_counts_once():
    walk = training()
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
