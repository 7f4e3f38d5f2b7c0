"""Every written conversation says what the coach says today: one test a file, with the lines that differ."""

from functools import cache

import pytest

from coachbot import demo, handbook
from coachbot.channels import replay, script
from coachbot.core.book import Handbook

FILES = sorted(demo.scenes().glob("*.txt"))


@cache
def book() -> Handbook:
    return handbook.load()


def test_conversations_are_there():
    assert len(FILES) >= 17
    assert demo.SCENE in {path.name for path in FILES}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_coach_says_what_is_written(path):
    written = path.read_text("utf-8")
    assert replay.difference(path, written, replay.said_now(script.read(path), book())) == ""
