"""A line about somebody who is no athlete here never reaches the athlete there is; a line without a name may."""

import pytest
from play import CLINICIAN

STRANGERS = [
    "hold Bob pain", "hold bob pain", "HOLD BOB PAIN", "hold pain bob", "hold pain, Bob", "Bob hold pain",
    "bob: hold, pain",
    "hold Will pain", "hold will pain", "hold mark swelling", "hold May swelling", "hold june swelling",
    "hold @bob pain",
    "put Bob on hold, swelling", "stop training for bob, swelling", "please hold Bob new swelling", "pause Bob",
    "hold Bob, runs with Sam", "note on Bob: trains with Sam", "note bob called", "note for Bob's mother called",
    "note called Bob", "tell bob well done", "release bob", "release bob seen today", "approve bob",
    "approve bob with slider",
    "bob pain limit 3", "pain limit bob 3", "limit bob pain.limit 3", "set Bob's pain limit to 3", "pain free bob",
    "days bob mon wed fri", "open fast running for Bob, strong", "waive bob run 60 done in clinic",
    "step up bob slider",
    "signed bob", "confirm bob", "review bob friday", "examined bob limp gone", "sign bob all seen",
    "close bob season over",
    "hand bob to dr-two", "acknowledge bob", "ack Bob", "take over bob", "pass bob to dr-two", "undo bob",
    "measure bob knee extension 165 172 goniometer", "weights bob 5 7.5", "kind bob sprint", "erase bob",
    "Nate called, sore",
    "Holt new pain", "why bob", "week bob", "show bob", "how is bob?", "what if bob pain 2 tomorrow", "hold sma pain",
    "hold sam and bob, new swelling", "hold Bob and Sam, new swelling",
]  # fmt: skip


def told(clinic, line: str, **who: str) -> tuple[str, bool]:
    """What the desk answers, and whether anything in the case moved."""
    clinic.unsent(CLINICIAN)
    before = clinic.coach.journal.position("sam")
    said = clinic.say(line, **who)
    return said, clinic.coach.journal.position("sam") != before


@pytest.fixture
def alone(clinic):
    """Sam is the only athlete, has an open alert and a note that could be undone."""
    clinic.approved("Sam")
    clinic.on(2)
    clinic.hear("sam", "I felt a sharp pop")
    clinic.say("note sam called")
    return clinic


@pytest.mark.parametrize("line", STRANGERS)
def test_stranger_moves_nobody(alone, line):
    said, moved = told(alone, line)
    assert not moved, said
    assert "Sam" in said and "Day after the injury" not in said and "Why:" not in said


@pytest.mark.parametrize("line", ["hold Bob pain", "release bob", "note on Bob: sore", "acknowledge bob"])
def test_answer_names_who_there_is(alone, line):
    said, _ = told(alone, line)
    assert 'called "Bob"' in said.replace("bob", "Bob") and "Known: Sam" in said


NAMELESS = [
    "note called, doing well", "hold new swelling in the thigh", "hold, he limps", "got it", "acknowledge sam-a1",
    "on it, thanks",
    "release seen today, tender only", "pain limit 3 careful", "review 12 march", "days mon wed fri", "undo",
    "note MRI shows no gap", "note seen today. Looks good", "pass to dr-two",
]  # fmt: skip


@pytest.mark.parametrize("line", NAMELESS)
def test_nameless_line_means_the_only_athlete(alone, line):
    said, moved = told(alone, line)
    assert moved, said


@pytest.mark.parametrize("line", ["aknowledge", "noet called"])
def test_slip_without_name_is_asked(alone, line):
    said, moved = told(alone, line)
    assert not moved
    assert "Whose case is it?" in said and "Known: Sam" in said


NAMED = [
    "hold sam Bob kicked him",
    "hold Sam, Bob kicked him",
    "note sam: Will drove him",
    "note SAM's mother Ann called",
    "note called the mother of sam",
]


@pytest.mark.parametrize("line", NAMED)
def test_named_athlete_is_meant(alone, line):
    assert told(alone, line)[1]


def test_alert_id_names_its_case(alone):
    alone.approved("Maria Rossi")
    alone.hear("mariarossi", "I felt a sharp pop")
    alone.say("acknowledge mariarossi-a1")
    assert [a.taken_by for a in alone.state("mariarossi").alerts.values()] == [CLINICIAN]
    assert [a.taken_by for a in alone.state("sam").alerts.values()] == [None]


def test_stranger_tells_staff_no_names(alone):
    alone.add("coach-kim", "staff")
    said, moved = told(alone, "hold bob pain", by="coach-kim")
    assert not moved and "Sam" not in said


ORDERS = [
    "pain limit sam 3", "pain limit 3 sam", "sam pain limit 3", "sam's pain limit 3", "pain sam limit 3",
    "limit sam pain 3", "limit 3 pain sam",
    "set sam 3 pain limit", "set Sam's pain limit to 3", "sam, set pain limit to 3",
    "pain limit for sam to 3, careful", "set pain limit sam 3 careful",
]  # fmt: skip


@pytest.mark.parametrize("line", ORDERS)
def test_name_may_stand_anywhere_in_a_limit(alone, line):
    alone.say(line)
    assert alone.state().limits == {"pain.limit": 3}, line


@pytest.mark.parametrize(
    ("line", "kind"),
    [("slider step up sam, strong", "intended"), ("slider sam step down", "acted"), ("sliders switch to sam", "chose")],
)
def test_object_may_stand_first(alone, line, kind):
    alone.say("release sam seen")
    alone.say("yes")
    alone.morning()
    alone.say(line)
    assert kind in alone.kinds()[-3:], alone.kinds()[-4:]


@pytest.mark.parametrize("line", ["pain sam 3", "sam pain 3", "sam 3", "limit sam", "pain limit sam"])
def test_score_is_no_limit(alone, line):
    alone.say(line)
    assert alone.state().limits == {}


@pytest.mark.parametrize("line", ["hold Maria Bianchi pain", "note maria bianchi called", "hold Mario Rossi pain"])
def test_namesake_is_somebody_else(clinic, line):
    clinic.approved("Maria Rossi")
    before = clinic.kinds("mariarossi")
    assert "Known: Maria Rossi" in clinic.say(line)
    assert clinic.kinds("mariarossi") == before


@pytest.mark.parametrize("line", ["hold Maria pain", "note Maria: Bianchi drove her", "note Maria Rossi MRI fine"])
def test_part_of_a_name_is_enough(clinic, line):
    clinic.approved("Maria Rossi")
    clinic.say(line)
    assert clinic.kinds("mariarossi")[-1] in ("held", "noted", "session-skipped")
