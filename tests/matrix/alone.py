"""The coach of a test in a process of its own, to be killed: `python alone.py coach.toml`."""

import asyncio
import sys
from pathlib import Path

from coachbot.serve.config import load
from coachbot.serve.run import serve
from tests.matrix.clinic import Clock

if __name__ == "__main__":
    settings = Path(sys.argv[1])
    asyncio.run(serve(load(settings), Clock(settings.parent), look=0.1, room_wait=5.0))
