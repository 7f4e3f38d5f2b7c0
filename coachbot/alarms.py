"""When the clock must speak next, and in which case; it asks the clock nothing and forgets at a restart."""

from datetime import datetime
from heapq import heappop, heappush


class Alarms:
    """The next alarm of every case, found without looking at the others."""

    def __init__(self) -> None:
        self._at: dict[str, datetime] = {}
        self._heap: list[tuple[datetime, str]] = []  # alarms that were moved stay in it until they come up

    def set(self, case: str, at: datetime | None) -> None:
        """Move the alarm of a case; None takes it away."""
        if at is None:
            self._at.pop(case, None)
        elif self._at.get(case) != at:
            self._at[case] = at
            heappush(self._heap, (at, case))

    def next(self) -> datetime | None:
        """The earliest alarm."""
        while self._heap and self._at.get(self._heap[0][1]) != self._heap[0][0]:
            heappop(self._heap)
        return self._heap[0][0] if self._heap else None

    def ring(self, at: datetime) -> list[str]:
        """The cases whose alarm has come, earliest first; their alarms are taken away."""
        due = []
        while (first := self.next()) is not None and first <= at:
            _, case = heappop(self._heap)
            del self._at[case]
            due.append(case)
        return due
