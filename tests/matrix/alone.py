"""The coach of a test in processes of its own, to be killed: `python alone.py coach.toml`.

All that takes long to load is loaded once; each line of the input then starts a coach, whose process id is printed.
"""

import asyncio
import os
import sys
from pathlib import Path

from coachbot import coach, handbook  # noqa: F401  loaded before the first coach begins
from coachbot.serve.config import load
from coachbot.serve.run import serve
from tests.matrix.clinic import Clock


def born(settings: Path) -> None:
    """Be a coach until killed; an end of its own accord ends everything."""
    asyncio.run(serve(load(settings), Clock(settings.parent), look=0.1))
    os._exit(1)


if __name__ == "__main__":
    for _ in sys.stdin:
        child = os.fork()
        if child == 0:
            born(Path(sys.argv[1]))
        print(child, flush=True)
        if not os.WIFSIGNALED(os.waitpid(child, 0)[1]):
            sys.exit("a coach ended by itself")
