"""Opens the demo case: a written conversation moved so that it ended yesterday, ready for a live check-in today."""

from datetime import datetime
from pathlib import Path

import coachbot
from coachbot.channels import script
from coachbot.coach import Coach

SCENE = "demo.txt"


def scenes() -> Path:
    """The folder of conversations: inside the installed package, or beside it in a checkout."""
    inside = Path(__file__).parent / "transcripts_demo"
    return inside if inside.is_dir() else Path(__file__).parents[1] / "transcripts_demo"


def open(file: Path, at: datetime) -> tuple[Coach, str]:
    """The demo's coach and athlete; an existing file goes on where it stands."""
    fresh = not file.exists()
    coach = coachbot.open(file)
    if fresh:
        conversation = script.read(scenes() / SCENE)
        last = conversation.entries[-1].day
        script.play_into(coach, conversation.moved((at.date() - last).days - 1))
    athletes = coach.journal.people("athlete")
    return coach, athletes[0].id
