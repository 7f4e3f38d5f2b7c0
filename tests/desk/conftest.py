"""Lets the files of this folder import the clinic that stands beside them, and the case played in memory."""

import sys
from pathlib import Path

import pytest

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[1])]

from clinic import Clinic  # noqa: E402


@pytest.fixture
def clinic(tmp_path):
    """An empty clinic with two clinicians."""
    clinic = Clinic(tmp_path)
    yield clinic
    clinic.coach.journal.close()
