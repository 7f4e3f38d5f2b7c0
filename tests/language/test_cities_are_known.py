"""The big cities of the world are known by the names people give them, in any case, with one slip of the keyboard."""

from collections import Counter
from zoneinfo import available_timezones

import pytest
import yaml
from play import Play, book

from coachbot import handbook
from coachbot.core.rules.place import zone
from coachbot.core.speak import speak

TABLE = yaml.safe_load((handbook.home() / "language" / "en" / "cities.yaml").read_text("utf-8"))
NAMED = [name for names in TABLE.values() for name in names]
# Large cities and capitals: common practice, no source.
SAID = {
    "Munich": "Europe/Berlin", "Barcelona": "Europe/Madrid", "new york": "America/New_York", "NYC": "America/New_York",
    "L.A.": "America/Los_Angeles", "los angeles": "America/Los_Angeles", "Washington, DC": "America/New_York",
    "Manchester": "Europe/London", "Milan, Italy": "Europe/Rome", "mumbai": "Asia/Kolkata", "Beijing": "Asia/Shanghai",
    "Cape Town": "Africa/Johannesburg", "Rio de Janeiro": "America/Sao_Paulo", "HANOI": "Asia/Ho_Chi_Minh",
    "Köln": "Europe/Berlin", "São Paulo": "America/Sao_Paulo", "Europe/Madrid": "Europe/Madrid",
    "Bern": "Europe/Zurich", "st. louis": "America/Chicago", "Tel Aviv": "Asia/Tel_Aviv",
    "I live in Munich": "Europe/Berlin", "near San Francisco, California": "America/Los_Angeles",
    "Wellington.": "Pacific/Auckland",
}  # fmt: skip
SLIPS = {
    "Muinch": "Europe/Berlin", "barcelna": "Europe/Madrid", "New Yrok": "America/New_York", "Madird": "Europe/Madrid",
    "los angelos": "America/Los_Angeles", "Lisbonn": "Europe/Lisbon", "johannesberg": "Africa/Johannesburg",
}  # fmt: skip
UNKNOWN = ["the moon", "ok", "on the east coast", "Atlantis", "between Madrid and Berlin", "yes", "Bal", "9"]


@pytest.mark.parametrize("words", [*SAID, *SLIPS])
def test_city_is_its_zone(words):
    assert zone(words, book()) == {**SAID, **SLIPS}[words]


@pytest.mark.parametrize("words", UNKNOWN)
def test_other_words_are_no_place(words):
    assert zone(words, book()) is None


def test_every_zone_exists():
    assert set(TABLE) <= available_timezones()


def test_many_cities_are_named():
    assert len(NAMED) > 150


def test_each_name_stands_once_and_is_found():
    assert [name for name, n in Counter(NAMED).items() if n > 1 or name != name.lower()] == []
    assert {name: at for at, names in TABLE.items() for name in names if zone(name, book()) != at} == {}


def test_table_repeats_no_zone_of_the_database():
    assert [name for name in NAMED if name in book().zones] == []


def test_athlete_names_a_city():
    play = Play().intake(zone="munich")
    assert (play.state.zone, play.state.course) == ("Europe/Berlin", "screened")


def test_slip_at_the_intake_is_said_back():
    play = Play()
    play.intake(zone="barcelna")
    assert play.state.zone == "Europe/Madrid"
    assert any("Your clock: Europe/Madrid." in words for words in said(play))


def said(play: Play) -> list[str]:
    texts = play.book.texts["en"]
    return [speak(effect.lines, texts) for step in play.steps for effect in step.effects]


def test_desk_knows_them_too(abroad):
    assert "Your clock is Asia/Kolkata" in abroad.say("zone Mumbai")
