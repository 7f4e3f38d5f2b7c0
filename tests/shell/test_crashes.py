"""Kill -9 between any two steps of a turn, then restart: the answer is there once, and the reply is shown."""

import subprocess
import sys
from pathlib import Path

import pytest

from coachbot.coach import Coach
from coachbot.core.events import Event
from coachbot.journal import Journal

from . import cases
from .processes import PATIENCE, environment

ANSWER = "2.5 no"
STEPS = {"before step", "after step", "before execute", "after execute", "before executemany", "after executemany"}
SHOWING = {"before showing", "after showing", "at the end"}


@pytest.fixture(scope="module")
def crashed(tmp_path_factory: pytest.TempPathFactory) -> list[tuple[str, Path]]:
    """For each step of a turn its name, and the file as the killed process left it."""
    folder = tmp_path_factory.mktemp("crashed")
    case = cases.write(folder / "coach.sqlite")
    coach = Coach(Journal.open(folder / "coach.sqlite"), cases.book())
    coach.tick(cases.now())
    coach.sent(coach.unsent([case]), cases.now())
    coach.journal.close()
    child = subprocess.run(
        [sys.executable, str(Path(__file__).with_name("crashing.py")), folder / "coach.sqlite", folder, case, ANSWER],
        env=environment(), capture_output=True, text=True, timeout=PATIENCE,
    )  # fmt: skip
    assert child.stderr == ""
    return [(name, Path(copy)) for name, copy in (line.split("\t") for line in child.stdout.splitlines())]


def facts(coach: Coach) -> list[Event]:
    (case,) = coach.journal.cases()
    return [fact for _, fact in coach.journal.read(case)]


def test_every_step_is_tried(crashed: list[tuple[str, Path]]):
    names = [name for name, _ in crashed]
    assert set(names) == STEPS | SHOWING | {"finished"}
    assert names[-1] == "finished"
    assert len(names) > 20  # each call on the database is a step


def test_killed_turn_is_whole_or_absent(crashed: list[tuple[str, Path]]):
    """After the restart the terminal shows the reply of a stored answer; an answer not stored may be typed again."""
    seen = set()
    for name, file in crashed:
        coach = Coach(Journal.open(file), cases.book())
        (case,) = coach.journal.cases()
        kept = sum(fact.kind == "heard" and fact.text == ANSWER for fact in facts(coach))
        shown = file.with_suffix(".shown").exists()
        waiting = coach.unsent([case])
        seen.add((kept, bool(waiting), shown))
        assert kept or not waiting, f"a reply to nothing, killed {name}"
        assert not kept or waiting or shown, f"the reply was lost, killed {name}"
        assert coach.journal.verify() == [], name
        coach.journal.close()
    assert seen == {(0, False, False), (1, True, False), (1, True, True), (1, False, True)}


def test_resent_answer_is_taken_once(crashed: list[tuple[str, Path]]):
    """A channel sends again what was not acknowledged: one answer, one reply, whatever the process died of."""
    ends = set()
    for name, file in crashed:
        coach = Coach(Journal.open(file), cases.book())
        (case,) = coach.journal.cases()
        coach.hear(case, ANSWER, cases.now(), message="event-1")
        replies = [message for message in coach.journal.messages(case, case) if "2.5 of 10" in message.text]
        kinds = tuple(fact.kind for fact in facts(coach))
        assert len(replies) == 1, name
        assert kinds.count("morning-taken") == len({f.day for f in facts(coach) if f.kind == "morning-taken"}), name
        ends.add(kinds)
        coach.journal.close()
    assert len(ends) == 1  # the same facts, as if nothing had happened
