"""One line can answer several questions in the asked order, and only what is clearly there is taken."""

from datetime import date

import pytest

from coachbot.core.reading import Kind, Reading, SetsReps, Unsure, Wanted, read_line
from coachbot.language import load

ENGLISH = load("en")
TODAY = date(2026, 3, 12)
RESPONSE = {"settled": ["settled", "fine", "better"], "same": ["same", "no worse"], "worse": ["worse", "sore"]}
KINDS = {
    "pain": Wanted("pain", Kind.PAIN), "sudden": Wanted("sudden", Kind.YES_NO),
    "response": Wanted("response", Kind.CHOICE, RESPONSE), "sets": Wanted("sets", Kind.SETS_REPS),
    "full": Wanted("full", Kind.FULL_RANGE), "reps": Wanted("reps", Kind.NUMBER), "top": Wanted("top", Kind.SPEED),
    "minutes": Wanted("minutes", Kind.DURATION),
}  # fmt: skip


def told(text: str, names: str) -> dict[str, object]:
    found = read_line(text, [KINDS[name] for name in names.split()], ENGLISH, today=TODAY)
    values = {name: r.value if isinstance(r, Reading) else r.why for name, r in found.items()}
    return {name: v.notation if isinstance(v, SetsReps) else v for name, v in values.items()}


@pytest.mark.parametrize(
    ("text", "names", "wanted"),
    [
        ("2 no", "pain sudden", {"pain": 2, "sudden": False}),
        ("2 no settled", "pain sudden response", {"pain": 2, "sudden": False, "response": "settled"}),
        ("3x8 full 2", "sets full pain", {"sets": "3x8", "full": True, "pain": 2}),
        ("3x6 full, worst 2", "sets full pain", {"sets": "3x6", "full": True, "pain": 2}),
        ("3 sets of 8, half range, pain 4", "sets full pain", {"sets": "3x8", "full": False, "pain": 4}),
        ("3 reps 50% pain 1", "reps top pain", {"reps": 3, "top": 50, "pain": 1}),
        ("6 45min", "reps minutes", {"reps": 6, "minutes": 2700}),
        ("4 then 6 no", "pain sudden", {"pain": 6, "sudden": False}),
    ],
)
def test_line_answers_several(text, names, wanted):
    assert told(text, names) == wanted


@pytest.mark.parametrize("text", ["2 no wait 5", "2 no except on rep 8", "2 yes felt a pop"])
def test_unclear_rest_stays_open(text):
    assert "sudden" not in told(text, "pain sudden")


def test_no_better_is_not_no():
    assert "response" not in told("1 no better", "pain sudden response")


def test_first_question_always_answered():
    found = read_line("what?", [KINDS["pain"], KINDS["sudden"]], ENGLISH, today=TODAY)
    assert isinstance(found["pain"], Unsure) and list(found) == ["pain"]


def test_labels_find_their_question():
    wanted = [Wanted("run", Kind.PAIN, part="run"), Wanted("walk", Kind.PAIN, part="walk")]
    found = read_line("walk 1 run 3", wanted, ENGLISH)
    assert {name: r.value for name, r in found.items() if isinstance(r, Reading)} == {"run": 3, "walk": 1}


def test_other_label_is_not_stored():
    found = read_line("running 5", [Wanted("walk", Kind.PAIN, part="walk")], ENGLISH)
    assert isinstance(found["walk"], Unsure)


def test_long_text_is_kept_whole():
    story = "it was a long day " * 200
    assert read_line(story, [Wanted("note", Kind.TEXT)], ENGLISH)["note"].value == story.strip()
