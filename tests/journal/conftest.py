"""An open journal for the tests beside this file."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from coachbot.journal import Journal


@pytest.fixture
def journal(tmp_path: Path) -> Iterator[Journal]:
    """A new file ``coach.db`` in the test's own folder, that waits a fifth of a second for others."""
    journal = Journal.open(tmp_path / "coach.db", wait=0.2)
    yield journal
    journal.close()
