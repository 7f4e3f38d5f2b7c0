"""The policy table in the conversation: unsure words are asked about once a day, then only noted for the clinicians."""

from play import Play

from coachbot.core.events import Noted

ODD = "felt gribbly behind the knee"


def test_first_doubt_asks_question():
    case = Play().approved().on(1)
    case.hear("hello")
    case.hear(ODD)
    assert case.state.talk.topic == "doubt.settle"


def test_second_doubt_is_noted():
    case = Play().approved().on(1)
    case.hear("hello")
    case.hear(ODD)
    case.hear("no")
    case.hear("no, though my thigh feels frumbled")
    assert case.state.talk.topic != "doubt.settle"
    assert any(isinstance(fact, Noted) for fact in case.last)
    assert "frumbled" in case.told("clinicians")


def test_next_day_asks_again():
    case = Play().approved().on(1)
    case.hear("hello")
    case.hear(ODD)
    case.hear("no")
    case.hear("no")
    case.on(2).hear("my thigh feels frumbled")
    assert case.state.talk.topic == "doubt.settle"


def test_red_flag_after_no_alerts():
    case = Play().approved().on(1)
    case.hear("hello")
    case.hear(ODD)
    case.hear("no")
    case.hear("no, but felt a pop in the hamstring")
    assert case.state.hold is not None
    assert case.alerts
