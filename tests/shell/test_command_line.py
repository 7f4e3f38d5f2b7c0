"""The command line explains itself, and says in one sentence what is wrong."""

from pathlib import Path

import pytest

import coachbot

from .processes import pipe


def test_version_is_told():
    assert pipe("--version").stdout == f"coachbot {coachbot.__version__}\n"


def test_help_names_every_command():
    said = pipe("--help").stdout
    for command in ("demo", "desk", "programme", "draw", "replay", "understand", "--store FILE", "--as NAME"):
        assert command in said
    assert all(len(line) <= 120 for line in said.splitlines())


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["dsk"], "There is no command dsk. Commands: demo, desk, "),
        (["--loud"], "unrecognized arguments: --loud. More: coachbot --help"),
        (["desk", "--loud"], "unrecognized arguments: --loud. More: coachbot --help"),
        (["replay"], "the following arguments are required: files. More: coachbot --help"),
        (["replay", "nowhere.txt"], "nowhere.txt cannot be read"),
        (["understand"], "Write the message in quotes"),
        (["understand", "--report", "nowhere.csv", "--kind", "pain"], "nowhere.csv is not there. Check the name."),
    ],
)
def test_mistake_is_one_sentence(tmp_path: Path, arguments: list[str], says: str):
    done = pipe(*arguments, cwd=tmp_path)
    assert (done.returncode, done.stdout, done.stderr.count("\n")) == (2, "", 1)
    assert says in done.stderr


def test_store_named_before_or_after(tmp_path: Path):
    for arguments in (["--store", "a.sqlite", "desk"], ["desk", "--store", "b.sqlite"]):
        done = pipe(*arguments, lines="enrol Sam\n", cwd=tmp_path)
        assert (done.returncode, done.stderr) == (0, "")
    assert {path.name for path in tmp_path.glob("*.sqlite")} == {"a.sqlite", "b.sqlite"}


def test_unknown_athlete_is_asked(tmp_path: Path):
    nobody = pipe(cwd=tmp_path)
    assert nobody.returncode == 2
    assert nobody.stderr.startswith("Nobody is enrolled in coach.sqlite yet. The clinician does that: coachbot desk")
    pipe("desk", lines="enrol Sam\nenrol Ada\n", cwd=tmp_path)
    unsure = pipe(cwd=tmp_path)
    assert (unsure.returncode, unsure.stdout) == (2, "")
    assert unsure.stderr == "Who are you? Start with: coachbot --as NAME. Known here: Ada, Sam.\n"
    assert "Ada" in pipe("--as", "Ada", cwd=tmp_path).stdout
