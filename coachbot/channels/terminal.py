"""One person at a terminal, or at the end of a pipe: lines in, messages out; nothing typed can steer the screen."""

import sys
import unicodedata
from collections.abc import AsyncIterator, Callable
from contextlib import suppress

from coachbot.journal import Message

BIDI = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
RULE = "!" * 60
BELL = "\a"


def printable(text: str) -> str:
    """The text without control codes, lone surrogates and marks that turn the writing direction."""
    return "".join(c for c in text if c == "\n" or not steers(c))


def steers(char: str) -> bool:
    """Whether this character is an order to the screen, not a sign on it."""
    return unicodedata.category(char) in ("Cc", "Cs") or char in BIDI


class Pipe:
    """Lines from standard input, messages to standard output; nobody is there to try again."""

    tries_again = False

    async def listen(self) -> AsyncIterator[str]:
        """Each line of the input; what others write meanwhile is shown meanwhile."""
        import asyncio
        from threading import Thread

        lines: asyncio.Queue[str | None] = asyncio.Queue()
        safely = asyncio.get_running_loop().call_soon_threadsafe
        Thread(target=_read, args=(lambda line: safely(lines.put_nowait, line),), daemon=True).start()
        while (line := await lines.get()) is not None:
            yield line

    def send(self, message: Message) -> None:
        """Print the message, a blank line after it."""
        self.say(message.text)

    def say(self, text: str) -> None:
        """Print words that are in no journal."""
        print(printable(text), end="\n\n", flush=True)


def _read(take: Callable[[str | None], object]) -> None:
    """Each line, then None. Unbuffered: a reader that still waits when the program ends must hold no lock."""
    with suppress(RuntimeError):  # the room was left while a line came
        with suppress(OSError), open(0, "rb", buffering=0, closefd=False) as stdin:
            for raw in stdin:
                take(raw.decode("utf-8", "replace").rstrip("\r\n"))
        take(None)


class Terminal:
    """A person at a terminal; messages appear above the line that is being typed."""

    tries_again = True

    def __init__(self, prompt: str) -> None:
        self._prompt = prompt

    async def listen(self) -> AsyncIterator[str]:
        """Each line that was typed, until the person leaves with Ctrl-D or Ctrl-C."""
        from coachbot.channels import keyboard  # loaded once the first question is on the screen

        async for line in keyboard.lines(self._prompt):
            yield line

    def send(self, message: Message) -> None:
        """Print the message; an alert rings and is framed so that it is not missed."""
        if message.kind == "alert":
            print(f"{BELL}{RULE}\n{printable(message.text)}\n{RULE}", end="\n\n", flush=True)
        else:
            self.say(message.text)

    def say(self, text: str) -> None:
        """Print words that are in no journal."""
        print(printable(text), end="\n\n", flush=True)


def here(prompt: str) -> Terminal | Pipe:
    """The terminal when there is one, else the pipe."""
    both = sys.stdin is not None and sys.stdin.isatty() and sys.stdout.isatty()
    return Terminal(prompt) if both else Pipe()
