"""Whatever is typed, nothing steers a screen, nothing is lost and nobody sees a traceback."""

from pathlib import Path

import pytest

from coachbot.channels.terminal import BIDI, printable, steers
from coachbot.coach import Coach
from coachbot.journal import Journal

from . import cases
from .processes import Screen, pipe

TITLE = "\x1b]0;owned\x07"
CLEAR, RED, EIGHT_BIT = "\x1b[2J", "\x1b[31m", "\x9b31m"
TURNED = "\u202eno\u2066x\u2069"
HOSTILE = f"{TITLE}felt a pop {CLEAR}on the{RED} second{EIGHT_BIT} rep {TURNED}\x00\x08\x7f"


def steering(text: str) -> set[str]:
    return {char for char in text if steers(char)} - {"\n", "\r"}


def test_printable_keeps_only_signs():
    assert printable(HOSTILE) == "]0;ownedfelt a pop [2Jon the[31m second31m rep nox"
    assert printable("naïve 3 × 8\n日本語 🏃\u200d♀️") == "naïve 3 × 8\n日本語 🏃\u200d♀️"
    assert printable("".join(map(chr, range(0xD800, 0xE000))) + "".join(BIDI) + "\t\x85") == ""


def test_pipes_print_nothing_that_steers(tmp_path: Path):
    """Neither to the athlete who wrote it, nor to the clinician whose alert and whose screen of the case quote it."""
    cases.write(tmp_path / "coach.sqlite")
    athlete = pipe(lines=f"{HOSTILE}\n", cwd=tmp_path)
    desk = pipe("desk", lines="case Sam\n", cwd=tmp_path)
    for done in (athlete, desk):
        assert (done.returncode, done.stderr, steering(done.stdout)) == (0, "", set())
    assert "pop" in desk.stdout


def test_terminals_print_nothing_that_steers(tmp_path: Path):
    """What is being typed is shown with a sign for each character that would steer the screen."""
    cases.write(tmp_path / "coach.sqlite")
    with Screen("desk", cwd=tmp_path) as desk, Screen(cwd=tmp_path) as athlete:
        desk.until("desk>")
        athlete.until("you>")
        athlete.paste(HOSTILE)
        athlete.type("")
        desk.until("pop")
        desk.until("acknowledge")
        assert (athlete.leave(), desk.leave()) == (0, 0)
    for screen in (athlete, desk):
        for code in (TITLE, CLEAR + "on", RED, EIGHT_BIT, *BIDI):
            assert code.encode() not in screen.raw, code


@pytest.mark.parametrize(
    ("answer", "says"),
    [
        ("", cases.says("again.empty")),
        ("   \t  ", cases.says("again.empty")),
        ("🏃" * 20, "0 is no pain"),
        ("12", cases.says("again.out-of-scale")),
        ("-1", "0 is no pain"),
        ("leg " * 2500, "0 is no pain"),
        ("\x00\x1b\x07", cases.says("again.empty")),
        (b"\xff\xfe\x80", "0 is no pain"),
    ],
    ids=["empty", "blank", "emoji", "out of scale", "below scale", "ten thousand", "control codes", "no UTF-8"],
)
def test_odd_answer_is_asked_again(tmp_path: Path, answer: str | bytes, says: str):
    """The question stays open, and the right answer after it is taken."""
    case = cases.write(tmp_path / "coach.sqlite")
    raw = answer if isinstance(answer, bytes) else answer.encode()
    done = pipe(lines=raw + b"\nno\n2\nno\n", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert says.splitlines()[0] in done.stdout.partition("0 is no pain")[2]
    coach = Coach(Journal.open(tmp_path / "coach.sqlite"), cases.book())
    assert coach.case(case).answers["walking"].value == 2
    coach.journal.close()


@pytest.mark.parametrize("day", ["31 February", "2031-01-01", "1999-01-01", "the day after", "99/99/9999"])
def test_wrong_date_is_asked_again(tmp_path: Path, day: str):
    case = cases.write(tmp_path / "coach.sqlite", days=0)
    done = pipe(lines=f"left\nyes\n{day}\ntoday\n", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    coach = Coach(Journal.open(tmp_path / "coach.sqlite"), cases.book())
    state = coach.case(case)
    told = [f.value for _, f in coach.journal.read(case) if f.kind == "answered" and f.slot == "injured_on"]
    assert (state.talk.question, len(told)) == ("how", 1)
    coach.journal.close()
