"""Reading what athletes write: typed answers with their words, and red flags; pure, and it never guesses."""

from coachbot.core.reading.commands import command
from coachbot.core.reading.flags import FlagReading, Found, flags, numeric
from coachbot.core.reading.gate import Cleaned, clean
from coachbot.core.reading.kinds import Kind, Reading, SetsReps, Unsure, Wanted, Weight
from coachbot.core.reading.language import Incomplete, Language
from coachbot.core.reading.line import read_line
from coachbot.core.reading.policy import Decision, Gap, Policy
from coachbot.core.reading.reader import read

__all__ = [
    "Cleaned", "Decision", "FlagReading", "Found", "Gap", "Incomplete", "Kind", "Language", "Policy", "Reading",
    "SetsReps", "Unsure", "Wanted", "Weight", "clean", "command", "flags", "numeric", "read", "read_line",
]  # fmt: skip
