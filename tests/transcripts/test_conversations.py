"""The written conversations are what the coach says now, and none of them clears anybody before the signature."""

import re
from functools import cache
from pathlib import Path

import pytest

from coachbot import demo, handbook
from coachbot.channels import replay, script

FILES = sorted(demo.scenes().glob("*.txt"))
WHOLE = {"sprint", "stretch", "tendon", "matches", "travel", "gap", "again"}
CLEARED = re.compile(r"\b(cleared|clearance|fit to play|ready to return|safe to return)\b", re.IGNORECASE)


@cache
def book():
    return handbook.load()


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_coach_says_what_is_written(path: Path):
    conversation = script.read(path)
    assert replay.said_now(conversation, book()) == path.read_text("utf-8")


def test_every_whole_case_is_written():
    assert {path.stem for path in FILES} >= WHOLE


@pytest.mark.parametrize("name", sorted(WHOLE))
def test_nobody_is_cleared_before_signing(name):
    text = (demo.scenes() / f"{name}.txt").read_text("utf-8")
    cases = text.split("dr-lee: enrol Sam")
    for case in cases:
        before, signed, _ = case.partition("dr-lee: sign Sam")
        assert signed, "every case of these conversations is signed once"
        assert CLEARED.findall(before) == []


@pytest.mark.parametrize("name", sorted(WHOLE))
def test_cases_end_after_the_watch(name):
    text = (demo.scenes() / f"{name}.txt").read_text("utf-8")
    days = re.findall(r"Days since return: (\d+)", text)
    assert days and int(days[-1]) >= 56


def test_seven_gates_name_the_signature():
    text = (demo.scenes() / "sprint.txt").read_text("utf-8")
    assert "7 of 8 gates.\n        What is missing: signature of a clinician." in text


def test_stretch_type_gets_no_sprint_numbers():
    text = (demo.scenes() / "stretch.txt").read_text("utf-8")
    assert "Sprint-type numbers do not apply" in text
    assert not re.search(r"(MRI|later series|knee extension).*of 10 similar", text)


def test_a_new_injury_is_a_new_case():
    text = (demo.scenes() / "again.txt").read_text("utf-8")
    assert text.index("close Sam hurt again") < text.index("dr-lee: enrol Sam") < text.rindex("Which leg is hurt")
