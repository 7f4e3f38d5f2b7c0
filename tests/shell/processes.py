"""Coachbot in processes of its own, at the end of a pipe or on a pseudo-terminal, for the tests beside this file."""

import fcntl
import os
import pty
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from contextlib import suppress
from pathlib import Path

import coachbot

ROOT = Path(coachbot.__file__).parents[1]
PATIENCE = 120  # seconds: a machine under load is slow, and no test waits this long unless something is wrong
WHERE_IS_THE_CURSOR, HERE = b"\x1b[6n", b"\x1b[1;1R"
CONTROL = re.compile(r"\x1b\[[0-9;?]*[a-zA-Z]|\x1b[()][A-Z0-9]|\r")


def environment(root: Path = ROOT) -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(root), "TERM": "xterm", "PYTHONIOENCODING": "utf-8"}


def pipe(*arguments: object, lines: str | bytes = "", root: Path = ROOT, **more: object) -> subprocess.CompletedProcess:
    """Runs one command with these lines as its input and waits for its end."""
    said = lines.encode() if isinstance(lines, str) else lines
    done = subprocess.run(
        [sys.executable, "-m", "coachbot", *map(str, arguments)],
        input=said, capture_output=True, timeout=PATIENCE, env=environment(root), **more,
    )  # fmt: skip
    return subprocess.CompletedProcess(done.args, done.returncode, done.stdout.decode(), done.stderr.decode())


class Screen:
    """A person at a pseudo-terminal: types lines, and waits until something is on the screen."""

    def __init__(self, *arguments: object, cwd: Path) -> None:
        self._pid, self._fd = pty.fork()
        if not self._pid:
            os.chdir(cwd)
            os.execve(sys.executable, [sys.executable, "-m", "coachbot", *map(str, arguments)], environment())
        fcntl.ioctl(self._fd, termios.TIOCSWINSZ, struct.pack("HHHH", 50, 250, 0, 0))
        self.raw = b""
        self._seen = 0

    def __enter__(self) -> "Screen":
        return self

    def __exit__(self, *_: object) -> None:
        with suppress(ProcessLookupError):
            os.kill(self._pid, signal.SIGKILL)
        with suppress(ChildProcessError):
            os.waitpid(self._pid, 0)
        os.close(self._fd)

    @property
    def text(self) -> str:
        """All that was printed, without the codes that place it."""
        return CONTROL.sub("", self.raw.decode(errors="replace"))

    def until(self, words: str) -> str:
        """Waits until these words are printed, after those waited for before; returns what was printed till then."""
        deadline = time.monotonic() + PATIENCE
        while (found := self.text.find(words, self._seen)) < 0:
            assert self._read(deadline), f"{words!r} never came after:\n{self.text[self._seen :]}"
        said = self.text[self._seen : found]
        self._seen = found + len(words)
        return said

    def type(self, line: str) -> None:
        os.write(self._fd, line.encode() + b"\r")

    def paste(self, text: str) -> None:
        """Text as a terminal hands it over from the clipboard."""
        os.write(self._fd, b"\x1b[200~" + text.encode() + b"\x1b[201~")

    def leave(self) -> int:
        """Ctrl-D; returns the exit code."""
        os.write(self._fd, b"\x04")
        deadline = time.monotonic() + PATIENCE
        while self._read(deadline):
            pass
        assert time.monotonic() < deadline, f"it never ended after:\n{self.text[self._seen :]}"
        return os.waitstatus_to_exitcode(os.waitpid(self._pid, 0)[1])

    def _read(self, deadline: float) -> bool:
        """Takes what was printed; False at the end of the program or of all patience."""
        ready, _, _ = select.select([self._fd], [], [], max(0, deadline - time.monotonic()))
        try:
            new = os.read(self._fd, 65_536) if ready else b""
        except OSError:  # the program has ended
            new = b""
        if WHERE_IS_THE_CURSOR in new:
            os.write(self._fd, HERE)
        self.raw += new
        return bool(new)
