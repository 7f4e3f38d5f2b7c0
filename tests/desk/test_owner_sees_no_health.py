"""The owner hands cases over and erases them, and reads nothing of anybody's health in answer to any act."""

import re

import pytest
from play import CLINICIAN, book
from test_rights_table import NOT_YOURS, line_of

from coachbot.room import desk

SECRETS = ("pop", "building", "early", "hold", "alert", "score", "pain", "rehabilit", "unavailable", "level", "review")


@pytest.fixture
def busy(clinic):
    """Sam trains, was on hold and has an open alert; Quinn is on the way."""
    for name in ("Sam", "Quinn"):
        clinic.approved(name)
    clinic.add("boss", "owner")
    clinic.add("coach-kim", "staff")
    clinic.on(2)
    clinic.morning("sam", "2")
    clinic.morning("quinn", "2")
    clinic.hear("sam", "felt a pop on the second rep")
    return clinic


def leaks(said: str) -> list[str]:
    return [secret for secret in SECRETS if secret in said.lower()]


@pytest.mark.parametrize("act", sorted({*book().rights} - {"help"}))
def test_no_act_tells_the_owner(busy, act):
    said = busy.say(line_of(act), "boss")
    said += busy.say("yes", "boss")
    told = said.replace(line_of(act), "")
    assert leaks(told) == [], told


def test_owner_reads_who_has_which(busy):
    said = busy.say("caseload", "boss")
    assert said.splitlines() == [f"{name} - with {CLINICIAN}, dr-two" for name in ("Quinn", "Sam")]
    assert busy.say("", "boss") == said


def test_owner_hands_and_erases(busy):
    busy.say("hand sam to dr-two", "boss")
    assert busy.state("sam").clinicians[0] == "dr-two"
    assert busy.say("erase sam", "boss") == "erase - for Sam. Write yes to do it. Anything else leaves it as it is."
    assert "Erased" in busy.say("yes", "boss")
    assert busy.coach.cases() == ["quinn"]


@pytest.mark.parametrize("person", ["boss", "coach-kim"])
def test_help_lists_only_what_is_theirs(busy, person):
    lines = busy.say("help", person)
    acts = {act for act in book().rights if NOT_YOURS in busy.say(line_of(act), person)}
    spoken = book().texts["en"].acts["acts"]
    words = re.findall("[a-z]+", lines.lower().replace("board at", ""))
    assert acts and not {act for act in acts & {*words} if act in spoken}


def test_staff_sees_the_board_at_once(busy):
    said = busy.say("", "coach-kim")
    assert said == busy.say("board", "coach-kim")
    assert "Who can train" in said and "Sam: unavailable" in said and "enrol" not in said


class Screen:
    """A terminal at which nobody types."""

    tries_again = False

    def __init__(self):
        self.shown = []

    async def listen(self):
        for line in ():
            yield line

    def send(self, message):
        self.shown.append(message.text)

    def say(self, text):
        self.shown.append(text)


@pytest.mark.parametrize(("person", "sees"), [(CLINICIAN, True), ("boss", False), ("coach-kim", False)])
def test_alerts_reach_only_clinicians_terminals(busy, person, sees):
    screen = Screen()
    desk(busy.coach, screen, lambda: busy.now, person)
    assert ("a pop" in "\n".join(screen.shown)) == sees
