"""What the homeserver's answers mean: done, later, never, or login gone; it must not know what was asked."""

import asyncio
import logging
from collections.abc import Awaitable, Callable, Mapping
from typing import Any, TypeVar

from aiohttp import ClientError
from nio import ErrorResponse

log = logging.getLogger(__name__)
T = TypeVar("T")
NO_ANSWER = (ClientError, OSError)  # what the connection itself may raise; a timeout is an OSError

# Errors of the client-server specification after which this login can never work again.
LOGIN_GONE = frozenset({"M_UNKNOWN_TOKEN", "M_MISSING_TOKEN", "M_USER_DEACTIVATED"})
OK = 200
BAD_REQUEST = 400  # HTTP: from here on it is an error
SERVER_ERROR = 500  # HTTP: from here on it is the server's trouble, not ours
TOO_MANY = 429
FIRST_PAUSE = 0.25  # seconds, doubled at every failure
LONGEST_PAUSE = 60.0  # seconds; also the longest wait a homeserver may ask of us in one go


class MatrixError(Exception):
    """What the homeserver did not do for us, as a sentence for the operator without anybody's words."""


class LoginGone(MatrixError):
    """The login cannot be used any more; only a new login helps."""


class Refused(MatrixError):
    """A final no, with the Matrix error code in `code`; asking again brings the same answer."""

    def __init__(self, code: str, message: str) -> None:
        super().__init__(f"The homeserver refused: {message} ({code})")
        self.code = code


class Later(MatrixError):
    """Not now: no answer, a broken one, or too many requests. `pause`: seconds the homeserver asked for."""

    def __init__(self, why: str, pause: float = 0.0) -> None:
        super().__init__(why)
        self.pause = min(pause, LONGEST_PAUSE)


def verdict(status: int, code: str | None, message: str, retry_after_ms: int | None = None) -> MatrixError:
    """The error an answer stands for. Only Matrix's own error codes are final: a proxy's page never is."""
    if code in LOGIN_GONE:
        return LoginGone(f"The homeserver no longer accepts the coach's login ({code}). Log the coach in again.")
    if status == TOO_MANY or code == "M_LIMIT_EXCEEDED":
        return Later("The homeserver asks for fewer requests.", (retry_after_ms or 0) / 1000)
    if status >= SERVER_ERROR or not code:
        return Later(f"The homeserver answered {status} without a usable answer.")
    return Refused(code, message)


def refusal(status: int, answer: Mapping[str, Any]) -> MatrixError:
    """The error a plain answer stands for."""
    return verdict(status, answer.get("errcode"), str(answer.get("error", "")), answer.get("retry_after_ms"))


def checked(response: Any) -> Any:
    """The response itself, or the error it stands for raised."""
    if not isinstance(response, ErrorResponse):
        return response
    transport = response.transport_response
    status = transport.status if transport is not None else 0
    raise verdict(status, response.status_code, response.message, response.retry_after_ms)


async def steadily(ask: Callable[[], Awaitable[T]], patience: float | None) -> T:
    """Ask until there is an answer, with growing pauses; the only place where anything is asked twice.

    Gives up with the last `Later` once `patience` seconds are over (None: never). `Refused` and `LoginGone`
    pass at once.
    """
    clock = asyncio.get_running_loop()
    end = None if patience is None else clock.time() + patience
    pause = FIRST_PAUSE
    while True:
        try:
            return await ask()
        except NO_ANSWER as trouble:
            late = Later(f"The homeserver cannot be reached ({type(trouble).__name__}).")
        except Later as trouble:
            late = trouble
        wait = max(pause, late.pause)
        if end is not None and clock.time() + wait > end:
            raise late
        log.info("%s Trying again in %.1f s.", late, wait)
        await asyncio.sleep(wait)
        pause = min(2 * pause, LONGEST_PAUSE)
