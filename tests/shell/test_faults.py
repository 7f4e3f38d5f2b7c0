"""Whatever is wrong with a file is said in one sentence on stderr, with exit code 2, and nothing stored is lost."""

import ctypes
import os
import shutil
import sqlite3
from pathlib import Path

import pytest

from . import cases
from .processes import ROOT, pipe

PR_CAPBSET_DROP, RIGHTS_OVER_FILES = 24, (1, 2)  # prctl(2); CAP_DAC_OVERRIDE and CAP_DAC_READ_SEARCH


def refusal(*arguments: object, **more: object) -> str:
    done = pipe(*arguments, lines="2 no\n", **more)
    assert (done.returncode, done.stdout) == (2, "")
    assert (done.stderr.count("\n"), "Traceback" in done.stderr) == (1, False), done.stderr
    return done.stderr


def without_privilege() -> None:
    """Makes even root obey the rights of files, from the next program on."""
    if os.geteuid() == 0:
        for right in RIGHTS_OVER_FILES:
            ctypes.CDLL(None).prctl(PR_CAPBSET_DROP, right, 0, 0, 0)


@pytest.mark.parametrize("command", [[], ["desk"]], ids=["chat", "desk"])
def test_bad_store_is_one_sentence(tmp_path: Path, command: list[str]):
    (tmp_path / "diary.txt").write_text("Dear diary\n" * 500)
    assert "The folder of no/where.sqlite does not exist" in refusal(
        "--store", "no/where.sqlite", *command, cwd=tmp_path
    )
    assert "is not a file of the coach and was left as it is" in refusal("--store", "diary.txt", *command, cwd=tmp_path)
    assert "is a folder. Name a file in it" in refusal("--store", tmp_path, *command, cwd=tmp_path)
    assert (tmp_path / "diary.txt").read_text() == "Dear diary\n" * 500


def test_bad_demo_file_is_one_sentence(tmp_path: Path):
    assert "does not exist" in refusal("demo", "--file", "no/where.sqlite", cwd=tmp_path)
    pipe("desk", "--store", "empty.sqlite", cwd=tmp_path)
    assert "Nobody called Sam is known in this file" in refusal("demo", "--file", "empty.sqlite", cwd=tmp_path)


def test_read_only_store_is_one_sentence(tmp_path: Path):
    cases.write(tmp_path / "coach.sqlite")
    (tmp_path / "coach.sqlite").chmod(0o444)
    before = (tmp_path / "coach.sqlite").read_bytes()
    assert "may not be written here. Give the user" in refusal(cwd=tmp_path, preexec_fn=without_privilege)
    assert (tmp_path / "coach.sqlite").read_bytes() == before


def test_locked_store_is_one_sentence(tmp_path: Path):
    """Another program holds the file: the answer was not taken, which is said; afterwards it is."""
    case = cases.write(tmp_path / "coach.sqlite")
    other = sqlite3.connect(tmp_path / "coach.sqlite", isolation_level=None)
    other.execute("begin immediate")
    assert "is in use by another program. Try again, nothing was lost" in refusal(cwd=tmp_path)
    other.execute("rollback")
    other.close()
    assert pipe(lines="2 no\n", cwd=tmp_path).returncode == 0
    coach = cases.opened(tmp_path / "coach.sqlite")
    assert coach.case(case).answers["walking"].value == 2
    coach.journal.close()


@pytest.mark.parametrize(
    ("file", "change", "says"),
    [
        ("programme/pain.yaml", ("value: 4", "value: 40"), "value 40 is outside its range"),
        ("programme/pain.yaml", ("value: 4", "value: four"), "four is not a number. Write digits"),
        ("flow/morning.yaml", ("questions:", "\tquestions:"), "a tab stands where only spaces may"),
        ("language/en/texts.yaml", ("\n", "\nbroken: [\n"), "dialogs/language/en/texts.yaml:"),
        ("language/en/words.yaml", ("\n", "\nbroken: [\n"), "words.yaml cannot be read: while parsing"),
    ],
    ids=["out of range", "no number", "tab", "texts", "words"],
)
def test_broken_dialogs_are_one_sentence(tmp_path: Path, file: str, change: tuple[str, str], says: str):
    """In a copy of the program; what cannot be read is not stored, and the case stays as it was."""
    for folder in ("coachbot", "dialogs", "transcripts_demo"):
        shutil.copytree(ROOT / folder, tmp_path / "copy" / folder, ignore=shutil.ignore_patterns("__pycache__"))
    case = cases.write(tmp_path / "coach.sqlite")
    broken = tmp_path / "copy" / "dialogs" / file
    text = broken.read_text("utf-8")
    assert change[0] in text
    broken.write_text(text.replace(*change, 1), "utf-8")
    done = pipe(lines="2 no\n", cwd=tmp_path, root=tmp_path / "copy")
    assert (done.returncode, done.stderr.count("\n"), "Traceback" in done.stderr) == (2, 1, False)
    assert says in done.stderr
    coach = cases.opened(tmp_path / "coach.sqlite")
    assert coach.case(case).answers["walking"].value == 3
    coach.journal.close()
