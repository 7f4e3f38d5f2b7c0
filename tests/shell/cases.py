"""A case in a file, some days old, at the athlete's noon: what the processes of these tests open; no test itself."""

import tempfile
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

from coachbot import handbook
from coachbot.coach import Coach
from coachbot.core.book import Handbook
from coachbot.core.effects import Word
from coachbot.core.speak import say
from coachbot.core.state import IDLE, State
from coachbot.journal import Journal

CLINICIAN = "dr-lee"
INTAKE = {
    "side": "left",
    "side_sure": "yes",
    "when": "today",
    "how": "sprinting",
    "walk": "normal",
    "emergency": "no",
    "urgent": "no",
    "age": "26-35",
    "earlier": "first time",
    "sport": "club team",
    "equipment": "sliders, bench, weights",
    "days": "every day",
    "team": "none",
    "matches": "none",
    "speed": "8.5 m/s",
    "consent": "yes",
}
DAILY = {"sudden": "no", "after_sudden": "no", "settle": "no", "response": "settled", "effort": "5, 40 min"}


@cache
def book() -> Handbook:
    return handbook.load()


def opened(path: Path) -> Coach:
    return Coach(Journal.open(path), book())


def says(key: str, **values: object) -> str:
    """A sentence as the coach says it to an English athlete."""
    return say(Word(key, values), book().texts["en"])


def noon_zone(now: datetime) -> str:
    """A time zone in which it is about noon: the check-in is due and no evening is near."""
    return f"Etc/GMT{now.astimezone(UTC).hour - 12:+d}"


def line(state: State, walking: str) -> str:
    """What an ordinary athlete answers to the open question."""
    question, session = state.talk.question, state.session
    if state.talk.dialog == "intake":
        return state.zone if question == "zone" else INTAKE[question]
    if question == "run" and session and session.left is not None:
        return f"3 reps, {session.lines[session.left].percent:g} %, pain 0"
    if question == "work" and session and session.left is not None:
        work = session.lines[session.left]
        return f"{work.sets}x{work.reps_high}, full, pain 0"
    return walking if question == "walking" else DAILY[question]


def write(path: Path, days: int = 5) -> str:
    """A new file with one athlete, injured so many days ago and well since, up to yesterday; returns the case.

    With 0 days the athlete is only enrolled.
    """
    case, content = _made(days)
    path.write_bytes(content)
    return case


@cache
def _made(days: int) -> tuple[str, bytes]:
    """The case and its file, made once for all tests."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "coach.sqlite")
        coach = Coach(Journal.open(path, durable=False), book())
        case = _lived(coach, days)
        coach.journal.close()
        return case, path.read_bytes()


def _lived(coach: Coach, days: int) -> str:
    injured = now() - timedelta(days=days)
    case = coach.enrol("Sam", CLINICIAN, injured, zone=noon_zone(now()))
    if days:
        coach.hear(case, "hello", injured)
        talk(coach, case, injured, walking="")
        coach.act(CLINICIAN, case, "approve", injured)
    for day in range(1, days):
        _day(coach, case, injured + timedelta(days=day), walking=str(max(0, 3 - day // 5)))
    coach.sent(coach.unsent([case, CLINICIAN, "clinicians", "team"]), now())
    return case


def _day(coach: Coach, case: str, at: datetime, walking: str) -> None:
    coach.tick(at)
    talk(coach, case, at, walking)
    session = coach.case(case).session
    if session and session.open:
        coach.hear(case, "done", at + timedelta(hours=4))
        talk(coach, case, at + timedelta(hours=4), walking)


def talk(coach: Coach, case: str, at: datetime, walking: str) -> None:
    """Answer until no question is open."""
    while (state := coach.case(case)).talk.topic != IDLE:
        coach.hear(case, line(state, walking), at)


def now() -> datetime:
    return datetime.now(UTC)
