"""Opening a journal starts fast: what it does not need stays unloaded."""

import os
import subprocess
import sys
from pathlib import Path

import coachbot

LOADED = """
import sys
import coachbot.journal
coachbot.journal.Journal.open(sys.argv[1])
print(sorted({"numpy", "pandas", "scipy", "matplotlib", "nio"} & set(sys.modules)))
import numpy
print(numpy.array([1, 2]).sum())
"""


def test_journal_loads_no_numpy(tmp_path: Path):
    """Not even for making the tables. In a fresh process; and numpy can still be loaded afterwards."""
    child = subprocess.run(
        [sys.executable, "-c", LOADED, str(tmp_path / "coach.db")],
        env={**os.environ, "PYTHONPATH": str(Path(coachbot.__file__).parents[1])},
        capture_output=True,
        text=True,
    )
    assert (child.stderr, child.stdout) == ("", "[]\n3\n")
