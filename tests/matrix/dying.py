"""A coach that is killed at one point, once: `python dying.py coach.toml before|after WORDS`.

It dies right before, or right after, it says something with these words, of which nothing is noted then.
"""

import asyncio
import os
import signal
import sys
from pathlib import Path
from typing import Any

from coachbot.channels.matrix.voice import Voice
from coachbot.serve.config import load
from coachbot.serve.run import serve
from tests.matrix.clinic import Clock


def main(settings: Path, when: str, words: str) -> None:
    died, deliver = settings.with_name("died"), Voice.deliver

    def die(content: dict[str, Any], now: str) -> None:
        if now == when and words in content.get("body", "") and not died.exists():
            died.touch()
            os.kill(os.getpid(), signal.SIGKILL)

    async def deadly(self: Voice, room: str, kind: str, content: dict[str, Any], txn_id: str) -> str:
        die(content, "before")
        event = await deliver(self, room, kind, content, txn_id)
        die(content, "after")
        return event

    Voice.deliver = deadly  # type: ignore[method-assign]
    asyncio.run(serve(load(settings), Clock(settings.parent), look=0.1))


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2], sys.argv[3])
