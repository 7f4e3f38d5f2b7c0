"""Opens the demo case: a written conversation moved so that it ended yesterday, ready for a live check-in today."""

from datetime import datetime
from pathlib import Path

import coachbot
from coachbot.channels import replay, script
from coachbot.coach import Coach
from coachbot.core.days import local_day

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
        scene = script.read(scenes() / SCENE)
        today = local_day(at, scene.front["zone"])
        replay.play_into(coach, scene.moved((today - scene.last_day).days - 1))
    athletes = coach.journal.people("athlete")
    return coach, athletes[0].id
