"""What the desk supposes is what then happens when the same is really said; and nothing of it is stored."""

from datetime import timedelta

import pytest
from clinic import Clinic
from hypothesis import HealthCheck, given, settings, strategies as st
from play import Play, book

from coachbot.core.desk.acts import FITS
from coachbot.core.desk.grammar import read
from coachbot.core.desk.whatif import Wish, imagine, wished
from coachbot.core.effects import ATHLETE
from coachbot.core.events import Heard
from coachbot.core.speak import speak

SCORES = ("0", "1", "2", "3.5", "4", "5", "8")
DONE = ("", "all", "3x6", "2x6", "none")
SAID = ("", "a sharp pop", "why", "it went well", "numb foot")


def morning_taken() -> Play:
    play = Play().approved().on(2)
    play.morning("1")
    return play


def reported() -> Play:
    play = morning_taken()
    play.on(2, 18).report()
    return play


def silent() -> Play:
    return Play().approved().on(3, 9)


def held() -> Play:
    play = morning_taken()
    play.hear("I felt a sharp pop")
    return play


PLACES = {"morning taken": morning_taken, "reported": reported, "silent": silent, "held": held}
WISHES = st.builds(
    Wish,
    tomorrow=st.booleans(),
    walking=st.sampled_from(("", *SCORES)),
    done=st.sampled_from(DONE),
    pain=st.sampled_from(("", "2", "5", "7")),
    said=st.sampled_from([(each,) if each else () for each in SAID]),
)


@settings(max_examples=80, deadline=None)
@given(place=st.sampled_from(sorted(PLACES)), wish=WISHES)
def test_supposed_equals_what_happens(place, wish):
    play = PLACES[place]()
    scene = imagine(play.state, wish, book(), play.now)
    told = []
    for arrival in scene.arrived:
        play.now = arrival.at
        told.append(play.hear(arrival.text) if isinstance(arrival, Heard) else play.tick())
    supposed = [
        "\n".join(speak(effect.lines, book().texts["en"]) for effect in done.effects if effect.to == ATHLETE)
        for done in scene.steps
    ]
    assert told == supposed
    assert play.state == scene.state


LINES = ("pain 2 tomorrow and all done", "pain 5 tomorrow", "a sharp pop", "3x6 done", "pain 0 today")


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(line=st.sampled_from(LINES))
def test_supposing_stores_nothing(tmp_path_factory, line):
    clinic = Clinic(tmp_path_factory.mktemp("clinic"))
    clinic.approved("Sam")
    clinic.on(2)
    clinic.morning("sam")
    clinic.unsent("dr-lee")
    before, state = clinic.coach.journal.positions(), clinic.state()
    assert "Nothing of this is stored" in clinic.say(f"what if sam {line}")
    assert (clinic.coach.journal.positions(), clinic.state()) == (before, state)
    assert clinic.coach.unsent(["sam", "dr-lee", "dr-two"]) == []


READ = [
    ("what if pain 2 tomorrow and 3x6 done", Wish(tomorrow=True, walking="2", done="3x6")),
    ("what if pain 5 tomorrow", Wish(tomorrow=True, walking="5")),
    ("suppose all done, pain 6 in training", Wish(done="all done", pain="6")),
    ("imagine a sharp pop", Wish(said=("a sharp pop",))),
]


@pytest.mark.parametrize(("line", "wish"), READ, ids=[line for line, _ in READ])
def test_line_is_read(line, wish):
    play = morning_taken()
    assert wished(read(line, book(), FITS), play.state, book()) == wish


def test_worse_morning_is_shown(clinic):
    clinic.approved("Sam")
    clinic.on(2)
    clinic.morning("sam", "1")
    said = clinic.say("what if sam pain 5 tomorrow")
    assert "5" in said.splitlines()[0]
    assert "Why:" in said
    later = clinic.now + timedelta(days=1)
    assert clinic.state().morning.day < later.date()


@pytest.mark.parametrize("held", [False, True])
def test_alarm_is_one_line(clinic, held):
    clinic.approved("Sam")
    clinic.on(2)
    clinic.morning("sam", "1")
    if held:
        clinic.hear("sam", "my calf is swollen")
        clinic.unsent("dr-lee", "dr-two")
    said = clinic.say("what if sam felt a pop tomorrow")
    alerts = [line for line in said.splitlines() if "would get an alert" in line]
    assert len(alerts) == 1 and "a pop" in alerts[0]
    assert alerts[0].startswith("dr-lee would" if held else "The case would be held and dr-lee would")
    assert "acknowledge" not in said and "sam-a" not in said and "S: " not in said
    assert said.count("would go out again") == held
