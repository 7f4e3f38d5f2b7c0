"""Every act is tried as every role, on one's own case and on another's: the table decides, nothing else."""

import pytest
from clinic import OTHER
from play import CLINICIAN, book

from coachbot.core.desk.acts import ACTS
from coachbot.core.desk.hear import ERASE, READS, ROOM
from coachbot.core.desk.rights import STANDINGS, may, standing
from coachbot.core.state import State

PEOPLE = {
    "clinician": CLINICIAN,
    "colleague": "dr-new",
    "owner": "boss",
    "staff": "kim",
    "athlete": "sam",
    "stranger": "nobody",
}
LINES = {
    "approve": "approve sam",
    "hold": "hold sam sore",
    "release": "release sam seen",
    "limit": "limit sam pain.limit 3 careful",
    "pain-free": "pain free mode sam",
    "families": "families sam nordic",
    "days": "days sam mon wed",
    "open-fast": "open fast sam good",
    "open-early": "open early sam good",
    "waive": "waive sam slider 2 done",
    "up": "step up sam slider good",
    "down": "step down sam slider sore",
    "signed": "signed sam",
    "automatic": "automatic sam",
    "confirm": "confirm sam",
    "refuse": "refuse sam",
    "acknowledge": "acknowledge sam",
    "take": "take over sam",
    "pass": "pass sam to dr-two",
    "note": "note sam called",
    "message": "tell sam well done",
    "review": "review sam friday",
    "reviewed": "examined sam fine",
    "sign": "sign sam seen",
    "not-cleared": "refuse clearance sam weak",
    "close": "close sam over",
    "hand": "hand sam to dr-two",
    "erase": "erase sam",
    "undo": "undo sam",
    "show": "show sam",
    "why": "why sam",
    "what-if": "what if sam pain 2 tomorrow",
    "caseload": "caseload",
    "digest": "digest",
    "board": "board",
    "help": "help",
    "enrol": "enrol Kay",
    "add-clinician": "add clinician dr-kay",
    "add-staff": "add staff lou",
    "hours": "hours 8 to 18",
    "zone": "zone berlin",
    "digest-at": "digest at 7",
    "board-at": "board at 9",
}
NOT_YOURS = "not yours to do"


def line_of(act: str) -> str:
    """A line of this act about Sam: its own, or the first phrase of the language."""
    return LINES.get(act) or f"{book().texts['en'].acts['acts'][act][0]} sam"


def test_every_act_has_rights():
    assert set(book().rights) == {*ACTS, *READS, *ROOM, ERASE} == set(book().texts["en"].acts["acts"])
    assert set(LINES) <= set(book().rights)


@pytest.mark.parametrize("act", sorted(book().rights))
def test_table_decides(clinic, act):
    clinic.approved("Sam")
    clinic.add("dr-new", "clinician")  # came later: on nobody's list
    clinic.add("boss", "owner")
    clinic.add("kim", "staff")
    clinic.coach.prepare("en")
    for role, person in PEOPLE.items():
        refused = NOT_YOURS in clinic.say(line_of(act), person)
        allowed = book().rights[act]
        about_desk = act in ROOM and act not in ACTS
        if role == "stranger":
            role = "staff"
        if role == "colleague" and (about_desk or act == "hours"):
            role = "clinician"  # a clinician's own desk
        assert refused == (role not in allowed), (act, role)
        if act == ERASE and not refused:
            break


def test_refused_line_changes_nothing(clinic):
    clinic.approved("Sam")
    clinic.add("kim", "staff")
    before = clinic.state()
    for act in {*ACTS, ERASE} - {"hours"}:
        clinic.say(line_of(act), "kim")
        clinic.say("yes", "kim")
    after = clinic.state()
    assert (after.hold, after.course, after.limits, after.families) == (None, before.course, {}, before.families)
    assert clinic.coach.cases() == ["sam"]


def test_athlete_cannot_act_on_another(clinic):
    clinic.approved("Sam")
    clinic.approved("Maria")
    for line in ("hold maria sore", "show maria", "limit maria pain.limit 5 x", "why maria"):
        assert NOT_YOURS in clinic.say(line, "sam")
    assert clinic.state("maria").hold is None


def test_clinician_sees_only_their_own(clinic):
    clinic.approved("Quinn")
    clinic.add("dr-new", "clinician")
    for line in ("digest", "caseload"):
        assert "Quinn" not in clinic.say(line, "dr-new")
        assert "Quinn" in clinic.say(line, OTHER)


def test_standing_of_a_stranger():
    mine = State(clinicians=(CLINICIAN,))
    assert standing("clinician", CLINICIAN, mine) == "clinician"
    assert standing("clinician", "dr-new", mine) == "colleague"
    assert standing("clinician", "dr-new", None) == "clinician"
    assert {person for people in book().rights.values() for person in people} <= set(STANDINGS)
    assert not any(may("athlete", "sam", act, mine, book()) for act in book().rights)
