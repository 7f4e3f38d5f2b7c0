"""Coachbot: a chat coach for athletes coming back from a hamstring strain, run by their clinician.

    from datetime import UTC, datetime
    import coachbot

    coach = coachbot.open("clinic.sqlite")
    sam = coach.enrol("Sam", by="dr-lee", at=datetime.now(UTC), zone="Europe/Berlin")
    for message in coach.hear(sam, "hello", at=datetime.now(UTC)):
        print(message.text)
    coach.tick(at=datetime.now(UTC))       # check-ins, reminders and alerts that are due
    print(coach.case(sam).course)          # everything known of a case

Time is always passed in, as an aware datetime; a message is said once it was marked with ``coach.sent``.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from coachbot.coach import Coach

__version__ = "0.1.0"


def open(path: str | Path, dialogs: Path | None = None, *, meaning: bool = False) -> Coach:
    """Open a store, made when it is not there. Raises JournalError or HandbookError, each a sentence for a person.

    With `meaning` words are also read by what they mean, which needs the extra of that name.
    """
    from coachbot import handbook
    from coachbot.coach import Coach
    from coachbot.journal import Journal

    return Coach(Journal.open(Path(path)), handbook.load(dialogs), meaning)
