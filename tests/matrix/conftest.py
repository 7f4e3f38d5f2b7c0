"""What every Matrix test starts from: a real homeserver, a coach on it, people with clients of their own."""

import os
import uuid
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from peewee import Metadata

from coachbot import handbook
from tests.matrix.homeserver import MEMORY, shared
from tests.matrix.people import Town


@pytest.fixture(scope="session", autouse=True)
def known_by_heart() -> Iterator[None]:
    """What each coach and client would work out anew: the handbook, and how the tables of its keys hang together."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(handbook, "load", cache(handbook.load))
        patch.setattr(Metadata, "model_graph", cache(Metadata.model_graph))
        yield


@pytest.fixture(scope="session")
def homeserver(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The address of the homeserver all test processes share."""
    base = tmp_path_factory.getbasetemp()
    return shared((base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "homeserver")


@pytest.fixture
def town(homeserver: str, tmp_path: Path) -> Iterator[Town]:
    """Makes coaches and people of this test alone; what they write stays in memory."""
    with TemporaryDirectory(prefix="town-", dir=MEMORY if MEMORY.is_dir() else tmp_path) as folder:
        yield Town(homeserver, Path(folder), uuid.uuid4().hex[:8])
