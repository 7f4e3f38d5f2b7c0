"""How fast a run-through should be, in words: numbers and cones for a measured top speed, plain words for everybody."""

from coachbot.core.effects import Word
from coachbot.core.events import Run, Target
from coachbot.core.turn import Turn

WORDS = ("half", "brisk", "fast", "near", "full")
"""Plain words for speeds, slowest first, each from its own number of the programme on; below them all: a jog."""

MATHS = "running_maths."


def pace(turn: Turn, line: Run) -> Word:
    """What is said of the speed of a line."""
    measured = _measured(line, line.target) if line.target else Word("line.not_measured")
    hard = Word("line.hard" if line.target and line.target.hard else "line.not_hard")
    easy = Word(f"line.plain.{plain(turn, line.percent)}")
    return Word("line.speed", {"plain": easy, "measured": measured, "hard": hard})


def plain(turn: Turn, percent: float) -> str:
    """The plain word for a speed in % of own top speed."""
    reached = [word for word in WORDS if percent >= turn.number(f"{MATHS}plain_{word}")]
    return reached[-1] if reached else "jog"


def _measured(line: Run, aim: Target) -> Word:
    values: dict[str, object] = {"speed": round(aim.speed, 1), "cones": aim.cones}
    if aim.clock is None or aim.seconds is None or aim.low is None or aim.high is None:
        return Word("line.measured.cones", values)
    times = {"seconds": f"{aim.seconds:.2f}", "low": f"{aim.low:.2f}", "high": f"{aim.high:.2f}"}
    return Word(f"line.measured.{aim.clock}", {**values, "hold": line.zones[1], **times})
