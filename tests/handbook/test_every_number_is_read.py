"""Every number of the programme is read by the program: none stands in the files only to be looked at."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import coachbot
from coachbot.handbook import load

BOOK = load()
TREES = [ast.parse(path.read_text("utf-8")) for path in Path(coachbot.__file__).parent.rglob("*.py")]
NODES = [node for tree in TREES for node in ast.walk(tree)]
READ = {node.attr for node in NODES if isinstance(node, ast.Attribute)}
"""Names read from something: the models of the handbook hold a part of the numbers as fields."""
NAMED = {node.value for node in NODES if isinstance(node, ast.Constant) and isinstance(node.value, str)}


def patterns() -> Iterator[re.Pattern[str]]:
    """Addresses that are put together: a literal part of some letters, and what a value fills in."""
    for node in NODES:
        if isinstance(node, ast.JoinedStr):
            parts = [part.value if isinstance(part, ast.Constant) else None for part in node.values]
            if any(part and re.search(r"[a-z]{3}", str(part)) for part in parts):
                yield re.compile("".join(".+" if part is None else re.escape(str(part)) for part in parts))


PATTERNS = list(patterns())
FIELDS = ("pain", "morning", "course", "strength", "running", "stages", "tiers", *BOOK.ladders)
"""What the models hold as fields; all other numbers are asked for by their address."""


def is_read(key: str) -> bool:
    group, *_, field = [part for part in key.split(".") if not part.isdigit()]
    if group in FIELDS:
        return field in READ or field in NAMED or key in NAMED
    return key in NAMED or any(pattern.fullmatch(key) for pattern in PATTERNS)


@pytest.mark.parametrize("key", BOOK.numbers)
def test_number_is_read(key):
    assert is_read(key)


@pytest.mark.parametrize("key", ["measurement.unread", "course.quiet_until", "unread.plain", "unread.mean"])
def test_number_of_nobody_is_seen(key):
    assert not is_read(key)
