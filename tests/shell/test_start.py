"""A fresh process reaches its first question without loading what it does not need yet."""

import subprocess
import sys
from pathlib import Path

import pytest

from coachbot import room

from . import cases
from .processes import PATIENCE, environment

NEVER = {"nio", "numpy", "scipy", "matplotlib", "pandas", "lifelines"}
LATER = {"asyncio", "prompt_toolkit", "rich", "sqlite_utils"}
"""Loaded once the first question is on the screen, when a file is made, or for a table."""

LOADED = """
import sys
from coachbot import cli
from coachbot.channels import terminal

watched = set(sys.argv.pop(1).split())
terminal.Pipe.say = lambda self, text: print(sorted(watched & sys.modules.keys()), text.splitlines()[0], sep="|")
cli.main()
"""


def first(arguments: list[str], watched: set[str], cwd: Path) -> list[str]:
    """Of the first thing said: which of the watched modules were loaded then, and its first line."""
    done = subprocess.run(
        [sys.executable, "-c", LOADED, " ".join(watched), *arguments],
        env=environment(), cwd=cwd, stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=PATIENCE,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout.splitlines()[0].split("|")


@pytest.mark.parametrize("arguments", [[], ["desk"]], ids=["chat", "desk"])
def test_first_words_load_little(tmp_path: Path, arguments: list[str]):
    cases.write(tmp_path / "coach.sqlite")
    loaded, said = first(arguments, NEVER | LATER, tmp_path)
    assert loaded == "[]"
    assert ("Sam" if arguments else "How much") in said


def test_new_files_load_no_science(tmp_path: Path):
    assert first(["demo"], NEVER, tmp_path)[0] == "[]"
    assert first(["desk", "--store", "new.sqlite"], NEVER, tmp_path)[0] == "[]"


def test_first_question_precedes_the_words(tmp_path: Path):
    """Reading answers needs a tenth of a second of loading: not before the question is asked, but before the answer."""
    case = cases.write(tmp_path / "coach.sqlite")
    coach = cases.opened(tmp_path / "coach.sqlite")
    loaded: list[bool] = []

    class Channel:
        tries_again = False

        async def listen(self):
            return
            yield

        def send(self, message):
            loaded.append("en" in coach.book.languages)

        say = send

    room.athlete(coach, Channel(), cases.now, case)
    assert loaded == [False]
    coach.hear(case, "2", cases.now())
    assert "en" in coach.book.languages
    coach.journal.close()
