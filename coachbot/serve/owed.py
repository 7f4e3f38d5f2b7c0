"""What is said beside the outbox, kept until it was said, so that a stop of the coach loses none; it says nothing."""

import json
from collections.abc import Iterator
from dataclasses import dataclass

from coachbot.journal import Journal

BEGINNING = "matrix owed "


@dataclass(frozen=True)
class Owed:
    """Words for the room of a key, or the picture of a case in a language; said under one transaction id."""

    key: str
    txn_id: str
    text: str = ""
    case: str = ""
    language: str = "en"

    @property
    def name(self) -> str:
        """Where the journal keeps it."""
        return f"{BEGINNING}{self.key} {self.txn_id}"

    def keep(self, journal: Journal) -> None:
        """It is to be said."""
        journal.keep(self.name, json.dumps([self.text, self.case, self.language]))


def owed(journal: Journal, key: str = "") -> Iterator[Owed]:
    """All that is still to be said, or what is for this key alone."""
    for name, kept in journal.all_kept(BEGINNING).items():
        to, txn_id = name.removeprefix(BEGINNING).rsplit(" ", 1)
        if key in ("", to):
            yield Owed(to, txn_id, *json.loads(kept))
