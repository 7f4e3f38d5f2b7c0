"""What a step wishes to happen outside: words to say and alerts to give, each to an audience; nothing is sent here."""

from collections.abc import Mapping
from dataclasses import dataclass, field

ATHLETE = "athlete"
CLINICIANS = "clinicians"
TEAM = "team"


@dataclass(frozen=True)
class Word:
    """A value that is itself a text of the language, named by its key (``exercise.two-leg-slider``)."""

    key: str
    values: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True)
class Say:
    """One message: its lines are texts of the language with their values. `to` is an audience or a clinician's id."""

    to: str
    lines: tuple[Word, ...]
    ask: bool = False


@dataclass(frozen=True)
class Alert:
    """A message that a person must acknowledge, sent to one clinician and shown to all of them."""

    to: str
    alert: str
    tier: str
    lines: tuple[Word, ...]


Effect = Say | Alert
