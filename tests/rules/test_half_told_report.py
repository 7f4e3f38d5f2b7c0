"""A report that a hold cuts short keeps what was told of its open line, assumes nothing of it and earns nothing."""

from play import Play, book

from coachbot.core.desk import views
from coachbot.core.events import Passed, Run, Trained
from coachbot.core.speak import speak
from coachbot.core.turn import Turn


def reporting(*words: str) -> Play:
    """The report of a strength session, some of its first line told; minutes lie between all messages."""
    play = Play().approved().on(3)
    play.morning("1")
    play.later(hours=9).hear("done")
    for each in words:
        play.later(minutes=1).hear(each)
    play.later(minutes=1)
    return play


def running(words: str) -> Play:
    """The report of the first run, some of it told."""
    play = Play().approved()
    for day in range(3, 10):
        play.on(day).morning("1")
        if any(isinstance(line, Run) for line in play.state.session.lines):
            break
        if play.state.session.open:
            play.report()
    play.later(hours=9).hear("done")
    play.later(minutes=1).hear(words)
    return play.later(minutes=1)


def seen(play: Play) -> str:
    return speak(views.text(views.case(Turn(play.state, play.book, play.now))), book().texts["en"])


def trained(play: Play) -> list[Trained]:
    return [event for event in play.events if isinstance(event, Trained)]


def test_told_sets_survive_a_hold():
    play = reporting("3x6")
    play.act("hold new swelling")
    (kept,) = trained(play)
    assert (kept.done, kept.complete, kept.repetitions) == (True, False, (6, 6, 6))
    assert (kept.full_range, kept.pain) == (None, None)
    assert not play.state.session.skipped
    assert 'Told of it: slider "3x6"' in seen(play)


def test_second_line_stands_beside_the_first():
    play = reporting("3x6 full 1", "3x8 full")
    play.act("hold new swelling")
    first, second = trained(play)
    assert (first.full_range, first.pain) == (True, 1)
    assert (second.line, second.full_range, second.pain) == (1, True, None)
    assert 'Told of it: slider "3x6 full 1", hinge "3x8 full"' in seen(play)


def test_half_a_run_keeps_its_speed():
    play = running("3 runs, 60 %")
    play.act("hold new swelling")
    kept = trained(play)[-1]
    assert (kept.repetitions, kept.top, kept.pain, kept.complete) == ((3,), 60, None, False)


def test_nothing_told_is_nothing_done():
    play = reporting()
    play.act("hold new swelling")
    assert trained(play) == []
    assert "Told of it" not in seen(play)


def test_line_left_out_is_not_done():
    play = reporting("skipped")
    play.act("hold new swelling")
    (kept,) = trained(play)
    assert (kept.done, kept.full_range, kept.pain) == (False, None, None)


def test_half_a_line_passes_no_level():
    play = reporting("3x6 full")
    play.act("hold new swelling")
    play.act("release seen, all fine")
    play.on(4).morning("1")
    assert not any(isinstance(event, Passed) for event in play.events)


def test_correction_of_half_a_line_assumes_nothing():
    play = reporting("3x6 full 1", "3x8")
    play.act("hold new swelling")
    play.later(minutes=1).hear("correct")
    play.later(minutes=1).hear("3x7")
    last = trained(play)[-1]
    assert (last.line, last.repetitions, last.full_range, last.pain) == (1, (7, 7, 7), None, None)


def test_very_strong_pain_is_kept_once():
    play = reporting("3x6 full 9")
    assert play.state.hold is not None
    assert [(kept.line, kept.pain) for kept in trained(play)] == [(0, 9)]


def test_stop_keeps_it_too():
    play = reporting("3x6")
    play.hear("stop")
    play.later(minutes=1).hear("no")
    assert [kept.repetitions for kept in trained(play)] == [(6, 6, 6)]
