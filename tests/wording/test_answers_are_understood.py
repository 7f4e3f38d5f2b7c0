"""What a text offers as an answer is understood as that answer: labels, numbers in a list, examples."""

from dataclasses import replace
from datetime import UTC, datetime
from functools import cache

import pytest
from census import book, texts

from coachbot import language, zones
from coachbot.core.book import Handbook, Part, Question
from coachbot.core.effects import Word
from coachbot.core.reading import flags
from coachbot.core.speak import say
from coachbot.core.state import State
from coachbot.core.talk.answers import Value, read_parts
from coachbot.core.turn import Turn

NOON = datetime(2026, 5, 20, 12, tzinfo=UTC)


@cache
def reading() -> Handbook:
    return replace(book(), languages={"en": language.load("en")}, zones=zones.names())


def answer(parts: list[Part], words: str) -> dict[str, object]:
    """The values that a line gives, by slot; nothing for a slot that is unclear."""
    found = read_parts(Turn(State(case="sam"), reading(), NOON), parts, words)
    return {slot: value.value for slot, value in found.items() if isinstance(value, Value)}


def question(topic: str) -> Question:
    dialog, name = topic.split(".")
    return book().dialogs[dialog].questions[name]


PARTS = [part for dialog in book().dialogs.values() for q in dialog.questions.values() for part in q.parts]
SLOTS = {part.slot: part for part in PARTS}
INTAKE = {part.slot for q in book().dialogs["intake"].questions.values() for part in q.parts}
SINGLE = [slot for slot, part in SLOTS.items() if part.choices and not part.many]
SEVERAL = [slot for slot, part in SLOTS.items() if part.many]


def choices(part: Part) -> tuple[str, ...]:
    return book().equipment if part.answer == "equipment" else part.choices


def label(part: Part, choice: str) -> str:
    prefix = "equipment" if part.answer == "equipment" else f"choice.{part.slot}"
    return say(Word(f"{prefix}.{choice}"), reading().texts["en"])


@pytest.mark.parametrize("slot", SINGLE)
def test_each_label_is_its_choice(slot):
    part = SLOTS[slot]
    assert {c: answer([part], label(part, c)).get(slot) for c in part.choices} == {c: c for c in part.choices}


@pytest.mark.parametrize("slot", SINGLE)
def test_each_word_is_its_choice(slot):
    words = book().texts["en"].choices[slot]
    assert sorted(words) == sorted(SLOTS[slot].choices)
    wrong = {
        word: choice
        for choice, known in words.items()
        for word in known
        if answer([SLOTS[slot]], word).get(slot) != choice
    }
    assert wrong == {}


@pytest.mark.parametrize("slot", SEVERAL)
def test_labels_name_several_choices(slot):
    part = SLOTS[slot]
    named = [choice for choice in choices(part) if choice != "none"]
    assert answer([part], ", ".join(label(part, choice) for choice in named)) == {slot: tuple(named)}
    assert answer([part], "none") == {slot: ()}
    assert answer([part], "all of them") == {slot: tuple(named)}


@pytest.mark.parametrize("slot", SEVERAL)
def test_each_word_names_its_choice(slot):
    words = book().texts["en"].choices[slot]
    assert sorted(words) == sorted(choices(SLOTS[slot]))
    for choice, known in words.items():
        for word in known:
            found = answer([SLOTS[slot]], word).get(slot)
            assert found is not None and (choice in found or (choice == "none" and found == ())), word


@pytest.mark.parametrize("topic", ["intake.how", "intake.walk", "intake.age", "intake.earlier", "morning.response"])
def test_numbered_lines_are_choices(topic):
    part = question(topic).parts[0]
    lines = str(texts()[topic]).splitlines()[1:]
    assert [line.split()[0] for line in lines] == [str(n) for n in range(1, len(part.choices) + 1)]
    for line, choice in zip(lines, part.choices, strict=True):
        number, words = line.split(" ", 1)
        assert answer([part], number) == answer([part], words) == {part.slot: choice}


@pytest.mark.parametrize("topic", ["intake.equipment"])
def test_listed_lines_are_choices(topic):
    part = question(topic).parts[0]
    lines = [line.removeprefix("- ") for line in str(texts()[topic]).splitlines()[1:]]
    for line, choice in zip(lines, choices(part), strict=True):
        assert choice in answer([part], line)[part.slot]


EXAMPLES = [
    ("intake.when", "yesterday", "2026-05-19"),
    ("intake.when", "last Saturday", "2026-05-16"),
    ("intake.when", "3 May", "2026-05-03"),
    ("intake.days", "mon wed fri", ("mon", "wed", "fri")),
    ("intake.days", "every day", ("mon", "tue", "wed", "thu", "fri", "sat", "sun")),
    ("intake.team", "tue thu", ("tue", "thu")),
    ("intake.matches", "sat", ("sat",)),
    ("intake.zone", "Madrid", "Europe/Madrid"),
    ("intake.speed", "8.5 m/s", 8.5),
    ("intake.speed", "31 km/h", 8.61),
    ("intake.speed", "no", "unknown"),
]


@pytest.mark.parametrize(("topic", "words", "value"), EXAMPLES)
def test_examples_in_questions_work(topic, words, value):
    assert words in str(texts()[question(topic).ask])
    assert answer(list(question(topic).parts), words) == {question(topic).parts[0].slot: value}


LINES = [
    ("report.run", "3, 60 %, pain 1", {"run_reps": 3, "run_top": 60, "run_pain": 1}),
    ("report.work", "3x8 full 2", {"work_done": "3x8", "work_range": True, "work_pain": 2}),
    ("report.effort", "6, 45 min", {"effort": 6, "minutes": 45}),
]


@pytest.mark.parametrize(("topic", "words", "values"), LINES)
def test_one_line_answers_a_block(topic, words, values):
    assert words in str(texts()[question(topic).ask])
    assert answer(list(question(topic).parts), words) == values


AGAIN = [
    ("walking", "2", 2), ("walking", "3.5", 3.5), ("sudden", "yes", True), ("sudden", "no", False),
    ("injured_on", "3 days ago", "2026-05-17"), ("zone", "Europe/Madrid", "Europe/Madrid"),
    ("equipment", "sliders and weights", ("sliders", "weights")), ("run_top", "60 %", 60), ("run_reps", "3", 3),
    ("work_done", "3x8", "3x8"), ("work_done", "8/8/6", "8/8/6"), ("work_done", "all sets", "ALL"),
    ("work_done", "skipped", "NONE"), ("work_range", "full", True), ("work_range", "partial", False),
    ("effort", "6", 6), ("minutes", "45 min", 45),
]  # fmt: skip


@pytest.mark.parametrize(("slot", "words", "value"), AGAIN)
def test_examples_after_misreading_work(slot, words, value):
    assert words in str(texts()[f"example.{SLOTS[slot].answer}"])
    assert answer([SLOTS[slot]], words) == {slot: value}


@pytest.mark.parametrize("slot", SINGLE)
def test_choices_leave_fillers_alone(slot):
    # A phrase that begins with a filler word would make that word a stranger in every other answer.
    fillers = reading().languages["en"].tables["choice"].heads
    words = [word for known in book().texts["en"].choices[slot].values() for word in known]
    assert [word for word in words if word.split()[0] in fillers] == []


SAID = [
    ("gait", "I have a bit of a limp", "limp"), ("gait", "on crutches", "cannot"), ("gait", "walk normally", "normal"),
    ("mechanism", "I was sprinting", "sprint"), ("mechanism", "did the splits", "stretch"),
    ("earlier", "no, this is my first", "first-time"), ("earlier", "it was the other leg", "other-leg"),
    ("response", "it was a bit sore", "sore"), ("response", "not good", "worse"), ("response", "all good", "settled"),
    ("side", "my left hamstring", "left"), ("age", "22", "18-25"),
]  # fmt: skip


@pytest.mark.parametrize(("slot", "words", "choice"), SAID)
def test_plain_sentences_name_choices(slot, words, choice):
    assert answer([SLOTS[slot]], words) == {slot: choice}


def test_offered_answers_raise_no_doubt():
    # At the intake only clear signs are acted on, since it asks its own two questions about them.
    lexicon = language.load_full("en")
    later = [slot for slot in SINGLE if slot not in INTAKE]
    offered = [label(SLOTS[slot], choice) for slot in later for choice in choices(SLOTS[slot])]
    offered += [words for _, words, _ in LINES] + [words for slot, words, _ in AGAIN if slot not in INTAKE]
    assert [words for words in offered if flags(words, lexicon).verdict != "none"] == []
