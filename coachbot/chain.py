"""Chains the facts of one case by SHA-256, so that a changed or missing one shows; it stores nothing."""

import hashlib
from collections.abc import Iterable, Iterator, Sequence

from .core.events import Event, dump

Link = tuple[int, Event, str, str]  # position, fact, its text, its chain


def genesis(case: str) -> str:
    """Where the chain of a case begins: its name, so that facts cannot be moved to another case."""
    return case


def link(chain: str, body: str) -> str:
    """The chain after `body`, in hexadecimal: it depends on this text and on all before it."""
    return hashlib.sha256((chain + body).encode()).hexdigest()


def links(after: int, chain: str, facts: Sequence[Event]) -> Iterator[Link]:
    """The new facts, each chained to the one before it; `chain` is the one at the position `after`."""
    for position, fact in enumerate(facts, after + 1):
        body = dump(fact)
        chain = link(chain, body)
        yield position, fact, body, chain


def breaks(case: str, rows: Iterable[tuple[int, str, str]], heard: int) -> Iterator[str]:
    """A sentence for each fact that is not as it was written.

    `rows` are position, text and chain in order; `heard` is the last position that an arrival speaks of.
    """
    here, chain = 0, genesis(case)
    for position, body, stored in rows:
        if position != here + 1:
            yield f"Case {case}: facts are missing before fact {position}."
        elif stored != link(chain, body):
            yield f"Case {case}: fact {position} was changed after it was written."
        here, chain = position, stored
    if here < heard:
        yield f"Case {case}: facts are missing after fact {here}."
