"""An athlete in one process and the desk in another, on one file: each sees at once what the other does."""

import subprocess
import sys
from pathlib import Path

from coachbot.channels.terminal import RULE
from coachbot.coach import Coach
from coachbot.journal import Journal

from . import cases
from .processes import PATIENCE, Screen, environment

POP = "felt a pop on the second rep"


def test_alert_reaches_the_desk(tmp_path: Path):
    """Without a keypress at the desk; and what the desk then does is told to the athlete without one either."""
    cases.write(tmp_path / "coach.sqlite")
    with Screen("desk", cwd=tmp_path) as desk, Screen(cwd=tmp_path) as athlete:
        desk.until("desk>")
        athlete.until("0 is no pain")
        athlete.until("you>")
        athlete.type(POP)
        athlete.until("stop")
        desk.until(RULE)
        alert = desk.until(RULE)
        assert "Sam" in alert
        assert "pop" in alert
        desk.type("acknowledge Sam")
        athlete.until(cases.says("alert.taken", who=cases.CLINICIAN))
        desk.type("release Sam seen on the phone, only a cramp")
        desk.until("Write yes")
        desk.type("yes")
        athlete.until(cases.says("released.athlete", who=cases.CLINICIAN))
        assert (athlete.leave(), desk.leave()) == (0, 0)


def test_alert_reaches_a_piped_desk(tmp_path: Path):
    """A pipe that still waits for its next line shows what comes meanwhile."""
    case = cases.write(tmp_path / "coach.sqlite")
    desk = subprocess.Popen(
        [sys.executable, "-m", "coachbot", "desk"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, cwd=tmp_path, env=environment(),
    )  # fmt: skip
    assert desk.stdin and desk.stdout
    assert b"Sam" in desk.stdout.readline()
    coach = Coach(Journal.open(tmp_path / "coach.sqlite", wait=PATIENCE), cases.book())
    coach.hear(case, POP, cases.now())
    alert = next(message for message in coach.journal.messages(case) if message.kind == "alert")
    while (line := desk.stdout.readline().decode().strip()) != alert.text.splitlines()[0]:
        assert desk.poll() is None, f"the desk ended without the alert, last with {line!r}"
    desk.stdin.write(b"acknowledge Sam\n")
    desk.stdin.close()
    assert desk.wait(PATIENCE) == 0
    desk.stdout.close()
    assert coach.case(case).alerts[alert.alert or ""].taken_by == cases.CLINICIAN
    coach.journal.close()


def test_both_write_at_once(tmp_path: Path):
    """Forty lines from the athlete and forty notes from the clinician at the same time: every one is kept, once."""
    case = cases.write(tmp_path / "coach.sqlite")
    lines = {"chat": [f"hello {n}" for n in range(40)], "desk": [f"note Sam number {n}" for n in range(40)]}
    running = [
        subprocess.Popen(
            [sys.executable, "-m", "coachbot", *(["desk"] if room == "desk" else [])],
            stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, cwd=tmp_path, env=environment(),
        )
        for room in lines
    ]  # fmt: skip
    for process, said in zip(running, lines.values(), strict=True):
        assert process.stdin
        process.stdin.write("".join(f"{line}\n" for line in said).encode())
        process.stdin.close()
    for process in running:
        assert process.stderr
        assert (process.wait(PATIENCE), process.stderr.read()) == (0, b"")
        process.stderr.close()
    journal = Journal.open(tmp_path / "coach.sqlite")
    facts = [fact for _, fact in journal.read(case)]
    heard = [fact.text for fact in facts if fact.kind == "heard" and fact.text.startswith("hello ")]
    notes = [fact.note for fact in facts if fact.kind == "noted" and fact.note.startswith("number ")]
    assert heard == lines["chat"]
    assert [f"note Sam {note}" for note in notes] == lines["desk"]
    assert journal.verify() == []
    journal.close()
