"""Couriers between people and the coach: each listens and sends, and knows nothing of rules or storage."""

from collections.abc import AsyncIterator
from typing import Protocol

from coachbot.journal import Message


class Channel(Protocol):
    """Where one or more people are reached."""

    tries_again: bool
    """Whether a person is there who sees that something failed, and can try again."""

    def listen(self) -> AsyncIterator[str]:
        """What is said to the coach, one message at a time, until the person leaves."""
        ...

    def send(self, message: Message) -> None:
        """Say one message to the person."""
        ...

    def say(self, text: str) -> None:
        """Say words that are in no journal, such as a view of the caseload."""
        ...
