"""A possessor's "s" without its sign still names the athlete, unless another name may be meant."""

import pytest
from play import CLINICIAN


@pytest.fixture
def one(clinic):
    clinic.approved("Sam")
    clinic.unsent("sam", CLINICIAN)
    return clinic


@pytest.mark.parametrize("line", ["note sams mother called", "note Sams mother called"])
def test_bare_s_names_the_athlete(one, line):
    one.say(line)
    assert one.kinds()[-1] == "noted"


def test_limit_reaches_the_owner(one):
    assert "pain.limit for Sam is 3" in one.say("set sams pain limit to 3")


def test_other_name_is_asked_back(one):
    one.approved("Maria Rossi")
    one.unsent(CLINICIAN)
    assert "More than one case" in one.say("hold sams knee is sore, maria")
    assert one.state("mariarossi").hold is None and one.state("sam").hold is None


def test_real_name_goes_first(one):
    one.approved("Sams")
    one.say("note sams mother called")
    assert (one.kinds("sams")[-1], "noted" in one.kinds("sam")) == ("noted", False)


def test_short_name_takes_no_other_word(one):
    one.approved("Hi")
    one.unsent(CLINICIAN)
    one.say("note his knee is sore, Sam")
    assert (one.kinds("sam")[-1], "noted" in one.kinds("hi")) == ("noted", False)
