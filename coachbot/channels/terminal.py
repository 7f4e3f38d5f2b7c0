"""One person at a terminal, or at the end of a pipe: lines in, messages out; nothing typed can steer the screen."""

import sys
import unicodedata
from collections.abc import AsyncIterator

from coachbot.journal import Message

BIDI = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
LONGEST_LINE = 65_536


def printable(text: str) -> str:
    """The text without control codes, lone surrogates and marks that turn the writing direction."""
    kept = (c for c in text if c == "\n" or (unicodedata.category(c) not in ("Cc", "Cs") and c not in BIDI))
    return "".join(kept)


class Pipe:
    """Lines from standard input, messages to standard output."""

    def __init__(self, prompt: str) -> None:
        self._prompt = prompt

    async def listen(self) -> AsyncIterator[str]:
        """Each line of the input."""
        for raw in sys.stdin.buffer:
            yield raw.decode("utf-8", "replace").rstrip("\r\n")

    def send(self, message: Message) -> None:
        """Print the message, a blank line after it."""
        print(printable(message.text), end="\n\n", flush=True)


class Terminal:
    """A person at a terminal; messages appear above the line that is being typed."""

    def __init__(self, prompt: str) -> None:
        from prompt_toolkit import PromptSession

        self._session: PromptSession[str] = PromptSession(prompt)

    async def listen(self) -> AsyncIterator[str]:
        """Each line that was typed, until the person leaves with Ctrl-D or Ctrl-C."""
        from prompt_toolkit.patch_stdout import patch_stdout

        with patch_stdout():
            while True:
                try:
                    yield await self._session.prompt_async()
                except (EOFError, KeyboardInterrupt):
                    return

    def send(self, message: Message) -> None:
        """Print the message; an alert rings and is framed so that it is not missed."""
        text = printable(message.text)
        if message.kind == "alert":
            rule = "!" * 60
            text = f"\a{rule}\n{text}\n{rule}"
        print(text, end="\n\n", flush=True)


def here(prompt: str) -> Terminal | Pipe:
    """The terminal when there is one, else the pipe."""
    return Terminal(prompt) if sys.stdin.isatty() and sys.stdout.isatty() else Pipe(prompt)
