"""The coach's password is typed at a real terminal: never shown, never kept, and asked for again when it is wrong."""

import os
import pty
import select
import sys
import time
from pathlib import Path

import pytest

from tests.matrix.clinic import Clinic, people
from tests.matrix.people import PASSWORD, Town, bounded

WRONG = "not the password at all"
TIME = 40.0


class Terminal:
    """A command in a terminal of its own, and all that this terminal shows."""

    def __init__(self, folder: Path, *command: str) -> None:
        environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
        environment.pop("COACHBOT_PASSWORD", None)
        self.process, self.screen = pty.fork()
        if self.process == 0:  # pragma: no cover
            os.chdir(folder)
            os.execve(sys.executable, [sys.executable, "-m", "coachbot", *command], environment)
        self.shown = ""
        self.seen = 0

    def sees(self, words: str) -> None:
        """Read on until these words are shown."""
        end = time.monotonic() + TIME
        while words not in self.shown[self.seen :]:
            assert self.read() and time.monotonic() < end, self.shown
        self.seen = self.shown.index(words, self.seen) + len(words)

    def read(self) -> bool:
        """A little more; False at the end."""
        if select.select([self.screen], [], [], 0.2)[0]:
            try:
                self.shown += os.read(self.screen, 4096).decode(errors="replace")
            except OSError:  # the program has ended
                return False
        return True

    def types(self, words: str) -> None:
        os.write(self.screen, words.encode())

    def ends(self) -> int:
        while self.read():
            pass
        os.close(self.screen)
        return os.waitstatus_to_exitcode(os.waitpid(self.process, 0)[1])

    def arguments(self) -> str:
        return Path(f"/proc/{self.process}/cmdline").read_text()


@bounded()
async def test_password_is_asked_until_right(town: Town) -> None:
    async with people(town, "lee") as (lee,):
        town.register("coach")
        clinic = Clinic(town, [lee])
        clinic.config()
        terminal = Terminal(town.folder, "login")
        terminal.sees(f"Password of {clinic.coach_id}: ")
        terminal.types(f"{WRONG}\n")
        terminal.sees(f"does not accept this password for {clinic.coach_id}. Try again")
        terminal.sees("Password of")
        terminal.types(f"{PASSWORD}\n")
        terminal.sees("Logged in as")
        assert terminal.ends() == 0
        assert "Error" not in terminal.shown
        assert PASSWORD not in terminal.shown and WRONG not in terminal.shown
        for path in town.folder.rglob("*"):
            raw = path.read_bytes() if path.is_file() else b""
            assert PASSWORD.encode() not in raw and WRONG.encode() not in raw, path


@bounded()
@pytest.mark.parametrize("key", ["\x03", "\x04"])
async def test_giving_up_is_a_sentence(town: Town, key: str) -> None:
    """Ctrl-C or Ctrl-D at the prompt; meanwhile the command line shows nothing but the command."""
    async with people(town, "lee") as (lee,):
        town.register("coach")
        clinic = Clinic(town, [lee])
        clinic.config()
        terminal = Terminal(town.folder, "login")
        terminal.sees("Password of")
        terminal.types(f"{WRONG}\n")
        assert terminal.arguments().split("\0")[1:] == ["-m", "coachbot", "login", ""]
        terminal.sees("Try again")
        terminal.sees("Password of")
        terminal.types(key)
        assert terminal.ends() == 2
        assert "No password, no login." in terminal.shown and "Traceback" not in terminal.shown
        assert not (town.folder / "coach" / "login.json").exists()
