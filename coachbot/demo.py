"""Opens the demo case: a written conversation moved so that it ended yesterday, ready for a live check-in today."""

from datetime import datetime
from pathlib import Path

from coachbot import handbook
from coachbot.channels import replay, script
from coachbot.coach import Coach, UnknownPerson
from coachbot.core.book import Handbook
from coachbot.core.days import local_day
from coachbot.journal import Journal

SCENE = "demo.txt"


def scenes() -> Path:
    """The folder of conversations: inside the installed package, or beside it in a checkout."""
    inside = Path(__file__).parent / "transcripts_demo"
    return inside if inside.is_dir() else Path(__file__).parents[1] / "transcripts_demo"


def open(file: Path, at: datetime) -> tuple[Coach, str]:
    """The demo's coach and athlete; an existing file goes on where it stands."""
    book = handbook.load()
    if not file.exists():
        book = _play(file, at, book)
    coach = Coach(Journal.open(file), book)
    athletes = coach.journal.people("athlete")
    if not athletes:
        raise UnknownPerson(script.read(scenes() / SCENE).athlete)
    return coach, athletes[0].id


def _play(file: Path, at: datetime, book: Handbook) -> Handbook:
    """Play the scene into a file of its own that takes its place only when it is whole."""
    part = file.with_name(f"{file.name}.part")
    for left in file.parent.glob(f"{part.name}*"):
        left.unlink()
    coach = Coach(Journal.open(part, durable=False), book)
    scene = script.read(scenes() / SCENE)
    today = local_day(at, scene.front["zone"])
    replay.play_into(coach, scene.moved((today - scene.last_day).days - 1))
    coach.journal.close()
    part.rename(file)
    return coach.book
