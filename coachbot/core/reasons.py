"""The reasons that a fact carries, each with the family or the run it is about; it puts nothing into words."""

from collections.abc import Iterator

from .events import Event, Loaded, Passed, Prescribed, Proposed, Reason, Run, Stepped, Tallied
from .parts import RUN, Cause


def causes(event: Event) -> Iterator[Cause]:
    """Every reason of a fact, in order."""
    reason = getattr(event, "reason", None)
    if isinstance(reason, Reason):
        yield Cause(event.at, reason, _item(event))
    if isinstance(event, Prescribed):
        yield from (Cause(event.at, each) for each in event.reasons)
        for line in event.lines:
            yield Cause(event.at, line.reason, RUN if isinstance(line, Run) else line.family)


def _item(event: Event) -> str:
    match event:
        case Passed() | Tallied() | Proposed() | Stepped():
            return event.item
        case Loaded():
            return event.family
        case _:
            return ""
