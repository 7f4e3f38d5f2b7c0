"""A copy of the shipped handbook that a test may break, and the proof that breaking it is told in one sentence."""

from collections.abc import Callable
from pathlib import Path
from shutil import copytree

import pytest

from coachbot.handbook import HandbookError, check, home, load

Breaks = Callable[[str, str, str, str, str], None]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return copytree(home(), tmp_path / "dialogs")


@pytest.fixture
def breaks(folder: Path) -> Breaks:
    """Replace `old` by `new` once in a file; the sentence `says` must then come with the line where `at` stands."""

    def prove(name: str, old: str, new: str, at: str, says: str) -> None:
        path = folder / name
        text = path.read_text()
        assert old in text
        path.write_text(text.replace(old, new, 1))
        line = path.read_text().partition(at)[0].count("\n") + 1
        sentence = f"dialogs/{name}:{line}: {says}"
        assert sentence in map(str, check(folder))
        with pytest.raises(HandbookError) as error:
            load(folder)
        assert sentence in str(error.value).splitlines()

    return prove
