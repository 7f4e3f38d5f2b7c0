"""One case stands on one screen: the same rows as a table in the terminal and as lines in a chat."""

from play import Play, book

from coachbot.core.desk import views
from coachbot.core.effects import Word
from coachbot.core.speak import speak
from coachbot.core.turn import Turn
from coachbot.pages.screen import table

SCREEN = 40


def turn(play: Play) -> Turn:
    return Turn(play.state, play.book, play.now)


def rows(play: Play) -> dict[str, str]:
    texts = book().texts["en"]
    shown = ((row.label, Word("case.value", {"value": row.value})) for row in views.case(turn(play)))
    return {speak([label], texts): speak([value], texts) for label, value in shown}


def lived() -> Play:
    """Four days with a gap, a hold and an open alert."""
    play = Play().approved().on(1)
    play.morning("3")
    play.on(3)
    play.morning("1")
    play.on(3, 18).report()
    play.on(4)
    play.hear("hello")
    play.hear("2 and I felt a sharp pop")
    return play


def test_screen_holds_what_counts():
    play = lived()
    play.act("note called, worried")
    seen = rows(play)
    assert (seen["Name"], seen["Day after the injury"]) == ("Sam", "4")
    assert seen["Morning scores, oldest first"].endswith("3 · 1 ·")
    assert "sharp pain or a pop" in seen["On hold"]
    assert "sam-a1" in seen["Open alert"]
    assert seen["slider"].startswith("level ")
    assert '"40 min"' in seen["Last answers"]
    assert seen["Note"] == "dr-lee: called, worried"
    assert seen["Next review"] == "Monday 9 March"
    assert "dr-lee, dr-two" in seen["Clinicians in order"]


def test_gap_is_never_filled():
    assert views.pain_line(lived().state, lived().state.mornings[-1].day).split()[-3:] == ["3", "·", "1"]


def test_case_fits_one_screen():
    assert len(views.case(turn(lived()))) < SCREEN


def test_proposed_rise_is_marked():
    play = Play().intake()
    play.act("approve signed")
    play.on(2).morning("1")
    play.on(2, 18).report()
    play.on(3).morning("1")
    assert "waits for you" in rows(play)["slider"]


def test_table_and_lines_say_the_same(monkeypatch):
    monkeypatch.setenv("COLUMNS", "400")
    shown = views.case(turn(lived()))
    drawn = table(shown, book().texts["en"])
    for line in speak(views.text(shown), book().texts["en"]).splitlines():
        label, _, value = line.partition(": ")
        assert any(label in row and value in row for row in drawn.splitlines()), line
    assert "\x1b" not in drawn


def test_link_word_opens_the_case(clinic):
    clinic.approved("Sam")
    for word in ("sam", "Sam", "show sam", "how is sam?", "case sam"):
        assert "Course: approved" in clinic.say(word)


def week(clinic) -> dict[str, str]:
    """The week of the case table, weekday by weekday."""
    line = next(row for row in clinic.say("sam").splitlines() if row.startswith("Week: "))
    return {day.split()[0]: day.split()[-1] for day in line.removeprefix("Week: ").split(", ")}


def test_week_follows_the_training_days(clinic):
    clinic.approved("Sam")
    clinic.on(2).morning("sam")
    before = week(clinic)
    clinic.say("days sam tue thu sat")
    after = week(clinic)
    assert before != after
    assert {day for day, plan in after.items() if plan != "rest"} - {"Wednesday"} <= {"Tuesday", "Thursday", "Saturday"}
    assert after["Wednesday"] == before["Wednesday"]  # what was issued today stays
    assert clinic.state().session.day == clinic.events()[-1].days[0][0]


def test_changed_days_can_be_undone(clinic):
    clinic.approved("Sam")
    clinic.on(2).morning("sam")
    before = clinic.state().announced
    clinic.say("days sam tue thu sat")
    clinic.say("undo sam")
    assert clinic.state().announced == before


def test_week_is_not_shown_on_hold(clinic):
    clinic.approved("Sam")
    clinic.on(2).morning("sam")
    clinic.say("hold sam swelling")
    assert "Week: " not in clinic.say("sam")


def test_open_question_stands_in_words():
    play = Play().approved().on(1)
    play.hear("hello")
    assert rows(play)["Open question"].startswith("How much does your left leg hurt when you walk")
    play.hear("my thigh feels all blorpy")
    assert 'I want to be sure about "' in rows(play)["Open question"]


def test_missing_part_of_a_question_stands_in_words():
    play = Play().approved().on(2)
    play.morning("1")
    play.hear("done")
    play.hear("3x8")
    assert rows(play)["Open question"].startswith("Did you move through the full range?")


def test_reasons_name_their_exercise():
    play = Play().approved().on(2)
    play.morning("1")
    said = speak(views.text(views.case(turn(play))), book().texts["en"])
    assert "Why: Wednesday 4 March, slider: " in said and "Why: Wednesday 4 March, hinge: " in said
