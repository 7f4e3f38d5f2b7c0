"""What every stored fact is made of: its instant, and the reason that a conclusion carries."""

from datetime import datetime
from typing import Literal

from pydantic import Field

from .book import Frozen

Scalar = bool | float | str
Verdict = Literal["counts", "repeat", "rest"]


class Reason(Frozen):
    """Why something was concluded: the rule, what it saw, and the handbook entry it read (None: a rule without one)."""

    rule: str
    saw: dict[str, Scalar] = Field(default_factory=dict)
    number: str | None = None


class Fact(Frozen):
    """What every fact carries: the instant (UTC) at which it became known."""

    at: datetime
