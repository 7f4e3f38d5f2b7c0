"""The three commands of Matrix: log in once, run, look for what is wrong; each fault ends in a sentence."""

import asyncio
import getpass
import logging
import os
import signal
import sys
from collections.abc import Callable, Coroutine
from contextlib import suppress
from datetime import datetime
from typing import Any

from coachbot.channels.matrix.answers import MatrixError, Refused
from coachbot.channels.matrix.credentials import LOGIN_FILE, log_in
from coachbot.serve.config import Config
from coachbot.serve.run import serve as run

PASSWORD = "COACHBOT_PASSWORD"
"""The environment variable that holds the password where nobody can type it; it is used once and kept nowhere."""
READY = "Ready: every room is there, and what was written meanwhile is read."
BROKEN = 2
Clock = Callable[[], datetime]


def login(config: Config, clock: Clock) -> int:
    """Log in and keep the token; every login makes a new device, so it is done once."""
    given = os.environ.get(PASSWORD)
    typed = given is None and sys.stdin is not None and sys.stdin.isatty()
    if not given and not typed:
        print(f"A password is needed: run this in a terminal, or set {PASSWORD}.", file=sys.stderr)
        return BROKEN
    try:
        _typed(config) if typed else asyncio.run(_logged_in(config, given or ""))
    except (EOFError, KeyboardInterrupt):
        print("No password, no login.", file=sys.stderr)
        return BROKEN
    except MatrixError as error:
        print(_wrong(config) if _refused(error) else error, file=sys.stderr)
        return BROKEN
    print(f"Logged in as {config.user}. The token and the keys are in {config.login}: keep that folder private.")
    return 0


def serve(config: Config, clock: Clock) -> int:
    """Run until a signal or Ctrl-C; asks for the password when there is no login yet."""
    logging.basicConfig(level=logging.WARNING, format="%(asctime)s %(message)s")
    if not (config.login / LOGIN_FILE).exists() and login(config, clock):
        return BROKEN
    return _ended(_until_stopped(config, clock))


def doctor(config: Config, clock: Clock) -> int:
    """Print what was looked at and what to do; 1 when something is wrong."""
    from coachbot.serve.doctor import examine

    findings = asyncio.run(examine(config, clock))
    for finding in findings:
        print(finding)
    return 0 if all(finding.well for finding in findings) else 1


def _typed(config: Config) -> None:
    """Ask for the password, which is not shown, until it is the right one or the person gives up."""
    while True:
        password = getpass.getpass(f"Password of {config.user}: ")
        try:
            return asyncio.run(_logged_in(config, password))
        except Refused as error:
            if not _refused(error):
                raise
            print(_wrong(config), "Try again, or leave with Ctrl-D.", file=sys.stderr, flush=True)


def _refused(error: MatrixError) -> bool:
    return isinstance(error, Refused) and error.code == "M_FORBIDDEN"


def _wrong(config: Config) -> str:
    return f"{config.homeserver} does not accept this password for {config.user}."


async def _logged_in(config: Config, password: str) -> None:
    await log_in(config.homeserver, config.user, password, config.login)


async def _until_stopped(config: Config, clock: Clock) -> None:
    print(f"{config.name} goes to {config.homeserver} as {config.user}. Stop it with Ctrl-C.", flush=True)
    running = asyncio.ensure_future(run(config, clock, ready=lambda: print(READY, flush=True)))
    with suppress(NotImplementedError):  # where there are no signals, Ctrl-C remains
        asyncio.get_running_loop().add_signal_handler(signal.SIGTERM, running.cancel)
    with suppress(asyncio.CancelledError):
        await running


def _ended(doing: Coroutine[Any, Any, None]) -> int:
    try:
        asyncio.run(doing)
    except MatrixError as error:
        print(error, file=sys.stderr)
        return BROKEN
    return 0
