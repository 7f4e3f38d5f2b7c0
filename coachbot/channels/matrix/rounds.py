"""Waiting for what a sync brings; it asks the homeserver nothing."""

import asyncio
from collections.abc import Callable
from contextlib import suppress

from coachbot.channels.matrix.answers import MatrixError


class NotYet(MatrixError):
    """Only a later sync can bring it, and none comes before what the last one brought is taken: do it beside that."""

    def __init__(self) -> None:
        super().__init__("The next sync must come first.")


class Rounds:
    """The syncs of one listener: told of each, it wakes who waits for what that may have brought."""

    def __init__(self) -> None:
        self._over = asyncio.Condition()
        self._listener: asyncio.Task[object] | None = None

    def begin(self) -> None:
        """The task that calls this does the syncs from now on."""
        self._listener = asyncio.current_task()

    async def over(self) -> None:
        """One more sync is done."""
        async with self._over:
            self._over.notify_all()

    async def bring(self, true: Callable[[], bool], seconds: float) -> bool:
        """Whether it is true now or within these seconds. Raises NotYet where waiting would hold up the syncs."""
        if true():
            return True
        if asyncio.current_task() is self._listener:
            raise NotYet
        with suppress(TimeoutError):
            async with asyncio.timeout(seconds), self._over:
                return await self._over.wait_for(true)
        return False
