"""Playing a conversation: the clock speaks by itself, and every turn tells its facts, session and alerts."""

import json
from pathlib import Path

import pytest

from coachbot import demo, handbook
from coachbot.channels import replay, script

NAME = "sudden_pain.txt"


@pytest.fixture(scope="module")
def book():
    return handbook.load()


@pytest.fixture(scope="module")
def turns(book):
    return list(replay.turns(script.read(demo.scenes() / NAME), book))


def test_turns_tell_facts(turns):
    kinds = [event["kind"] for event in next(t for t in turns if "sharp pain" in t["text"])["events"]]
    assert kinds.index("flagged") < kinds.index("held") < kinds.index("alerted")


def test_session_is_todays(turns):
    mornings = {t["day"]: t["session"] for t in turns if t["text"] in ("2 no", "3 no")}
    assert [line["exercise"] for line in mornings["2026-05-05"]][:2] == ["two-leg-slider", "single-leg-hinge"]
    assert mornings["2026-05-06"] == []


def test_alert_is_taken(turns):
    taken = [t["alerts"][0]["taken_by"] for t in turns if t["alerts"]]
    assert taken[0] is None
    assert taken[-1] == "Dr Vogel"


def test_json_is_a_line_a_turn(capsys, turns):
    path = demo.scenes() / NAME
    assert replay.replay([path], check=False, record=False, as_json=True, pace=0) == 0
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert lines == turns
    assert set(lines[0]) == {"day", "hour", "who", "text", "said", "events", "session", "alerts"}


def test_check_shows_the_difference(capsys, tmp_path):
    path = tmp_path / "talk.txt"
    path.write_text((demo.scenes() / NAME).read_text("utf-8").replace("to Ines: Please stop", "to Ines: Do stop"))
    assert replay.replay([path], check=True, record=False, as_json=False, pace=0) == 1
    shown = capsys.readouterr().out
    assert "-    to Ines: Do stop" in shown
    assert "+    to Ines: Please stop" in shown


def test_record_then_check_agree(capsys, tmp_path):
    path = tmp_path / "talk.txt"
    briefly = (demo.scenes() / NAME).read_text("utf-8").split("== Tuesday")[0]
    path.write_text(briefly, "utf-8")
    assert replay.replay([path], check=False, record=True, as_json=False, pace=0) == 0
    assert replay.replay([path], check=True, record=False, as_json=False, pace=0) == 0


def test_bad_file_ends_with_two(capsys, tmp_path):
    path: Path = tmp_path / "talk.txt"
    path.write_text("hello", "utf-8")
    assert replay.replay([path], check=True, record=False, as_json=False, pace=0) == 2
    assert "front matter" in capsys.readouterr().err


def test_clock_speaks_between_entries(turns):
    clock = [(t["day"], t["hour"]) for t in turns if t["who"] == "clock"]
    assert ("2026-05-05", "08:00") in clock
    assert all(t["said"] for t in turns if t["who"] == "clock")
