"""Lets the files of this folder import the clinic and the case played in memory, and gives them a second language."""

import shutil
import sys
from pathlib import Path

import pytest
import yaml

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[1]), str(Path(__file__).parents[1] / "desk")]

from clinic import Clinic  # noqa: E402
from pseudo import translated  # noqa: E402

from coachbot import handbook, language  # noqa: E402
from coachbot.coach import Coach  # noqa: E402
from coachbot.journal import Journal  # noqa: E402


class Abroad(Clinic):
    """A clinic whose handbook has two languages."""

    home: Path

    def open(self) -> None:
        self.coach = Coach(Journal.open(self.path), handbook.load(self.home))


@pytest.fixture(scope="session")
def dialogs(tmp_path_factory):
    """The shipped dialogs, and the pseudo-language made of the English one, without a flag lexicon."""
    home = tmp_path_factory.mktemp("abroad") / "dialogs"
    shutil.copytree(handbook.home(), home, ignore=shutil.ignore_patterns("de", "es", "fr", "it", "nl", "pt", "zh"))
    (home / "language" / "qq").mkdir()
    for path in (home / "language" / "en").glob("*.yaml"):
        if path.name != "flags.yaml":
            told = yaml.safe_dump(translated(language.load_yaml(path)), allow_unicode=True)
            (home / "language" / "qq" / path.name).write_text(told, "utf-8")
    return home


@pytest.fixture
def abroad(tmp_path, dialogs, monkeypatch):
    """An empty clinic where English and the pseudo-language are offered."""
    monkeypatch.setattr(language, "folder", lambda: dialogs / "language")
    Abroad.home = dialogs
    clinic = Abroad(tmp_path)
    yield clinic
    clinic.coach.journal.close()
