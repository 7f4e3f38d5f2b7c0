"""What every Matrix test starts from: a real homeserver, a coach on it, people with clients of their own."""

import os
import uuid
from pathlib import Path

import pytest

from tests.matrix.homeserver import shared
from tests.matrix.people import Town


@pytest.fixture(scope="session")
def homeserver(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The address of the homeserver all test processes share."""
    base = tmp_path_factory.getbasetemp()
    return shared((base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "homeserver")


@pytest.fixture
def town(homeserver: str, tmp_path: Path) -> Town:
    """Makes coaches and people of this test alone."""
    return Town(homeserver, tmp_path, uuid.uuid4().hex[:8])
