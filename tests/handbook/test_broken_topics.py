"""A dialog or course with a name that leads nowhere, or a topic without a way in or out, is told with its line."""

import pytest

from coachbot.core.flow import ANSWERS, GUARDS
from coachbot.handbook import check

TALK = """name: talk
why: For a test.
start:
  - to: first
questions:
  first:
    ask: talk.first
    parts:
      - {slot: one, answer: pain}
    then:
      - {to: second, when: [run_left]}
      - to: end
  second:
    ask: talk.second
    parts:
      - {slot: two, answer: choice, choices: [left, right]}
    then:
      - to: end
"""
SECOND = "\n  second:"

CASES = {
    "an arrow to nowhere": (
        ("to: second", "to: third", "to: third"),
        "questions.first.then.1: leads to third, which is no topic of this dialog. Correct the name.",
    ),
    "a way in to nowhere": (
        ("- to: first", "- to: begin", "- to: begin"),
        "start.1: leads to begin, which is no topic of this dialog. Correct the name.",
    ),
    "a topic nobody reaches": (
        ("{to: second, when", "{to: end, when", SECOND.strip()),
        "questions.second: no arrow leads here. Add an arrow, or take the topic out.",
    ),
    "a topic without an end": (
        ("right]}\n    then:\n      - to: end", "right]}\n    then:\n      - to: second", SECOND.strip()),
        "questions.second: no way leads from here to end. Add an arrow.",
    ),
    "an unknown guard": (
        ("run_left", "moon_is_full", "moon_is_full"),
        f"questions.first.then.1: moon_is_full is no guard. Use one of {', '.join(sorted(GUARDS))}.",
    ),
    "an unknown answer": (
        ("answer: pain", "answer: song", "answer: song"),
        f"questions.first.parts.1: song is no kind of answer. Use one of {', '.join(sorted(ANSWERS))}.",
    ),
    "a choice without choices": (
        (", choices: [left, right]", "", "slot: two"),
        "questions.second.parts.1: choices belong to the answer choice, and to no other. Add them or take them out.",
    ),
    "an arrow never taken": (
        ("second, when: [run_left]", "second", "      - to: end\n  second"),
        "questions.first.then.2: is never taken, the arrow above it always is. Put that one last.",
    ),
    "perhaps no way on": (
        ("      - to: end\n  second", "  second", "then:"),
        "questions.first.then: there may be no way on. Let the last arrow have no `when`.",
    ),
    "a question for nothing": (
        ("parts:\n      - {slot: one, answer: pain}", "parts: []", "parts: []"),
        "questions.first.parts: asks for nothing. Name at least one value.",
    ),
    "a dialog under another name": (
        ("name: talk", "name: chat", "name: chat"),
        "name: is chat, but the file is talk. Use one name.",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_wrong_topic_is_told(case, folder, breaks):
    (old, new, at), says = CASES[case]
    (folder / "flow" / "talk.yaml").write_text(TALK)
    breaks("flow/talk.yaml", old, new, at, says)


def test_right_dialog_is_quiet(folder):
    (folder / "flow" / "talk.yaml").write_text(TALK)
    assert [str(one) for one in check(folder) if one.file.endswith("talk.yaml") and "no text" not in one.says] == []


COURSE = {
    "an unknown state": (
        ("dest: screened", "dest: elsewhere", "dest: elsewhere"),
        "arrows.1.dest: elsewhere is no state of the course. Correct the name.",
    ),
    "an unknown beginning": (
        ("initial: enrolled", "initial: born", "initial: born"),
        "initial: born is no state of the course. Correct the name.",
    ),
    "a state nobody reaches": (
        ("closed]", "closed, famous]", "states:"),
        "states: no arrow leads to famous. Add an arrow, or take it out.",
    ),
    "an unknown guard": (
        ("when: [loading_may_start]", "when: [sun_shines]", "sun_shines"),
        f"arrows.4: sun_shines is no guard. Use one of {', '.join(sorted(GUARDS))}.",
    ),
}


@pytest.mark.parametrize("case", COURSE)
def test_wrong_course_is_told(case, breaks):
    (old, new, at), says = COURSE[case]
    breaks("flow/course.yaml", old, new, at, says)
