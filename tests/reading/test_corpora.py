"""The written phrases are read right: values nearly always, and no red flag is ever left silent."""

from pathlib import Path

import pytest

from coachbot.pages.understanding import ASK, try_file

CORPORA = Path(__file__).parents[1] / "corpora"
VALUES = {
    "pain_scale": 0.98, "yes_no": 0.97, "dates": 0.97, "durations": 0.97, "weights": 0.97, "sprint_times": 0.97,
    "sets_reps": 0.97, "hygiene": 1.0,
}  # fmt: skip
FLAGS = (
    "red_flags", "red_flags_2", "red_flags_3", "red_flags_blind", "red_flags_blind_2", "red_flags_blind_4",
    "red_flags_blind_6",
)  # fmt: skip


@pytest.mark.parametrize("name", VALUES)
def test_answers_read_right(name):
    tried = try_file(CORPORA / f"{name}.csv")[1]
    wrong = [row for row in tried if not row.right]
    assert len(wrong) <= (1 - VALUES[name]) * len(tried), wrong


@pytest.mark.parametrize("name", VALUES)
def test_no_wrong_value_stored(name):
    assert [row for row in try_file(CORPORA / f"{name}.csv")[1] if not row.right and row.got != ASK] == []


@pytest.mark.parametrize("name", FLAGS)
def test_no_flag_left_silent(name):
    tried = try_file(CORPORA / f"{name}.csv")[1]
    assert [row.text for row in tried if row.expected[0] == "FLAG" and row.got == "NONE"] == []


@pytest.mark.parametrize("name", FLAGS)
def test_few_false_alarms(name):
    harmless = [row for row in try_file(CORPORA / f"{name}.csv")[1] if row.expected[0] == "NONE"]
    alarms = [row.text for row in harmless if row.got == "FLAG"]
    assert len(alarms) <= 0.03 * len(harmless), alarms


@pytest.mark.parametrize("name", FLAGS)
def test_few_needless_questions(name):
    english = [r for r in try_file(CORPORA / f"{name}.csv")[1] if r.expected[0] == "NONE" and r.language == "en"]
    assert sum(row.got == ASK for row in english) <= 0.2 * len(english)
