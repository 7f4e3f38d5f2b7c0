"""What the README promises a newcomer, through a pipe as they would do it."""

import re
from pathlib import Path

import pytest

from . import cases
from .processes import pipe


def said(path: Path, *lines: str) -> str:
    done = pipe(lines="".join(f"{line}\n" for line in lines), cwd=path)
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


def test_demo_reaches_the_first_question(tmp_path: Path):
    """At once, and again on the next start; the check-in on the same file ends in today's session with reasons."""
    for _ in range(2):
        done = pipe("demo", cwd=tmp_path)
        assert (done.returncode, done.stderr) == (0, "")
        assert "0 is no pain" in done.stdout
    done = pipe("demo", lines="2 no\nfine\n", cwd=tmp_path)
    today = done.stdout.partition("Today: ")[2]
    assert (done.stderr, "Why: " in today) == ("", True)
    assert [path.name for path in tmp_path.iterdir()] == ["demo.sqlite"]


def test_four_walks_on(tmp_path: Path):
    """4 is the limit and passes: today's run is issued, each line with its reason."""
    cases.write(tmp_path / "coach.sqlite")
    today = said(tmp_path, "4", "no", "fine").partition("Today: ")[2]
    assert "run-throughs" in today
    assert "Why: " in today


def test_four_and_a_half_holds_the_run(tmp_path: Path):
    """4.5 is over the limit: no run today, and the athlete's own number is the reason."""
    cases.write(tmp_path / "coach.sqlite")
    today = said(tmp_path, "4.5", "no", "fine").partition("Today: ")[2]
    assert "run-throughs" not in today
    assert "4.5 of 10" in today
    assert "Why: " in today


def test_check_in_survives_a_restart(tmp_path: Path):
    """Each answer in a process of its own: the conversation goes on where it stopped."""
    cases.write(tmp_path / "coach.sqlite")
    assert "0 is no pain" in said(tmp_path)
    assert "0 is no pain" in said(tmp_path)
    assert "Walking pain: 4 of 10" in said(tmp_path, "4")
    assert "run-throughs" in said(tmp_path, "no", "fine")


@pytest.mark.parametrize(("answer", "rule"), [("4.5", "over the limit of 4"), ("2", "close to the usual 3")])
def test_why_names_rule_answers_and_source(tmp_path: Path, answer: str, rule: str):
    cases.write(tmp_path / "coach.sqlite")
    why = said(tmp_path, answer, "no", "fine", "why").rpartition("Today: ")[2].partition("\n\n")[2]
    assert f"walking pain {answer} of 10" in why
    assert rule in why
    assert re.search(r"Source: [\w ]+(et al\.|and others), \d{4}", why)


def test_pop_stops_until_the_release(tmp_path: Path):
    """No session is issued, whatever the athlete writes, until a clinician has released the case."""
    cases.write(tmp_path / "coach.sqlite")
    held = said(tmp_path, "felt a pop on the second rep", "hello", "2 no", "done", "fine")
    assert "All training is stopped" in held
    assert "Today: " not in held
    released = pipe("desk", lines="release Sam seen on the phone, a cramp\nyes\n", cwd=tmp_path)
    assert (released.returncode, released.stderr) == (0, "")
    assert cases.says("released.athlete", who=cases.CLINICIAN).splitlines()[0] in said(tmp_path, "2 no", "fine")
