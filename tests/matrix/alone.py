"""The coach of a test in processes of its own, to be killed: `python alone.py coach.toml`.

All that takes long to load is loaded once; each line of the input then starts a coach, whose process id is printed. A
line `before WORDS` or `after WORDS` starts one that dies by itself: right before, or right after, it says something
with these words, of which nothing is noted then.
"""

import asyncio
import os
import signal
import sys
from functools import cache
from pathlib import Path
from typing import Any

from coachbot import coach, handbook  # noqa: F401  loaded before the first coach begins
from coachbot.channels.matrix.voice import Voice
from coachbot.serve.config import load
from coachbot.serve.run import serve
from tests.matrix.clinic import Clock


def born(settings: Path, when: str, words: str) -> None:
    """Be a coach until killed; an end of its own accord ends everything."""
    if when:
        doomed(when, words)
    asyncio.run(serve(load(settings), Clock(settings.parent), look=0.1))
    os._exit(1)


def doomed(when: str, words: str) -> None:
    """From now on it dies at these words."""
    deliver = Voice.deliver

    def die(content: dict[str, Any], now: str) -> None:
        if now == when and words in content.get("body", ""):
            os.kill(os.getpid(), signal.SIGKILL)

    async def deadly(self: Voice, room: str, kind: str, content: dict[str, Any], txn_id: str) -> str:
        die(content, "before")
        event = await deliver(self, room, kind, content, txn_id)
        die(content, "after")
        return event

    Voice.deliver = deadly  # type: ignore[method-assign]


if __name__ == "__main__":
    handbook.load = cache(handbook.load)  # type: ignore[assignment]
    handbook.load()
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            when, _, words = line.strip().partition(" ")
            born(Path(sys.argv[1]), when, words)
        print(child, flush=True)
        if not os.WIFSIGNALED(os.waitpid(child, 0)[1]):
            sys.exit("a coach ended by itself")
