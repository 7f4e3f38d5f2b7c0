"""What the journal keeps beside facts: messages to people, and the people; plain values that do nothing."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

Role = Literal["owner", "clinician", "staff", "athlete"]


@dataclass(frozen=True)
class Outgoing:
    """A message to one person; `alert` names the alert that they can acknowledge, `ask` marks a question."""

    to: str
    kind: Literal["say", "alert"]
    text: str
    ask: bool = False
    alert: str | None = None


@dataclass(frozen=True, kw_only=True)
class Message(Outgoing):
    """A stored message. Its id is ``case-position-n``: the same words sent again are the same message."""

    id: str
    case: str
    made_at: datetime
    sent_at: datetime | None


@dataclass(frozen=True)
class Person:
    """Someone the coach talks with; `case` is an athlete's own, `address` where their channel finds them."""

    id: str
    name: str
    role: Role
    case: str | None = None
    address: str | None = None
