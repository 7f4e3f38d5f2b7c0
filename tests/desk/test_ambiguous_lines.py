"""A line that may mean several things, or several people, is asked back and changes nothing."""

import pytest
from play import CLINICIAN


@pytest.fixture
def two(clinic):
    """Two athletes, one of them with a longer name."""
    clinic.approved("Sam")
    clinic.approved("Maria Rossi")
    return clinic.on(2)


UNCLEAR = [
    ("open sam", "open fast Sam, open early Sam"),
    ("set sam 3", "several things"),
    ("signd sam", "signed Sam, sign Sam"),
    ("should I release sam?", "release Sam"),
    ("do not hold sam", "hold Sam"),
    ("sam does really well", "no act I know"),
    ("hold sam and maria new swelling", "More than one case"),
    ("hold maria, sam both sore", "More than one case"),
    ("hold new swelling", "Whose case"),
    ("relase tomorrow", "Whose case"),
    ("the weather is fine", "found no athlete"),
]


@pytest.mark.parametrize(("line", "says"), UNCLEAR, ids=[line for line, _ in UNCLEAR])
def test_unclear_line_changes_nothing(two, line, says):
    two.unsent(CLINICIAN)
    before = {case: two.coach.journal.position(case) for case in two.coach.cases()}
    assert says in two.say(line)
    assert {case: two.coach.journal.position(case) for case in two.coach.cases()} == before


@pytest.mark.parametrize(
    "line",
    [
        "hold sam", "release sam seen", "limit sam pain.limit", "limit sam pain limit 9", "days sam", "families sam",
        "waive sam slider 2", "waive sam slider 7 done", "step up sam", "message sam", "note sam", "review sam",
        "sign sam all seen", "refuse clearance sam weak", "pass sam", "hand sam", "confirm sam", "refuse sam",
        "undo sam",
    ],
)  # fmt: skip
def test_line_that_lacks_something_changes_nothing(two, line):
    two.unsent(CLINICIAN)
    before = two.state("sam")
    assert two.say(line)
    assert two.kinds("sam")[-1] == "acted"
    assert (two.state("sam").ladders, two.state("sam").course) == (before.ladders, before.course)
    assert (two.state("sam").hold, two.state("sam").undo) == (None, before.undo)


def test_names_reach_their_case(two):
    maria = "mariarossi"
    lines = (("note rossi called", maria), ("note Maria Rossi: called", maria), ("note SAM's mother called", "sam"))
    for line, case in lines:
        two.say(line)
        assert two.kinds(case)[-1] == "noted"


def test_first_name_decides(two):
    two.say("note sam: runs with maria")
    assert two.kinds("sam")[-1] == "noted"
    assert "noted" not in two.kinds("mariarossi")


def test_same_name_needs_the_id(two):
    two.approved("Sam")
    two.unsent(CLINICIAN)
    assert "@sam, @sam2" in two.say("note sam called")
    two.say("note @sam called")
    two.say("note sam2 called")
    assert [two.kinds(case)[-1] for case in ("sam", "sam2")] == ["noted", "noted"]


def test_only_open_alert_needs_no_name(two):
    two.hear("sam", "I felt a sharp pop")
    two.say("got it")
    assert [alert.taken_by for alert in two.state("sam").alerts.values()] == [CLINICIAN]
