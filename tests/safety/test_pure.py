"""`step` touches nothing outside: no file, socket or process in thousands of steps; same input, same step."""

import ast
import sys
from pathlib import Path

from walk import Walk

import coachbot.core
from coachbot.core.step import next_wake, step

CORE = Path(coachbot.core.__file__).parent
FORBIDDEN = {
    "asyncio", "io", "logging", "os", "pathlib", "random", "socket", "sqlite3", "subprocess", "sys", "threading",
    "time", "uuid", "yaml", "nio", "prompt_toolkit", "sqlite_utils",
}  # fmt: skip
OUTSIDE = (
    "open", "os.", "socket.", "subprocess.", "shutil.", "sqlite3.", "tempfile.", "urllib.", "pathlib.", "ctypes.",
)  # fmt: skip
ENOUGH = 2_000
TEXTS = (
    "felt a pop", "help", "why", "banana", "12/10", "x" * 5_000, "\x00\x1b[31m", "correct", "stop", "pain",
    "not today", "",
)  # fmt: skip


class Watch:
    """Hears every audit event of the interpreter while it is on."""

    def __init__(self) -> None:
        self.on = False
        self.heard: list[str] = []
        sys.addaudithook(self._hear)

    def _hear(self, event: str, args: tuple) -> None:
        if self.on and event.startswith(OUTSIDE):
            self.heard.append(f"{event} {args!r:.80}")


WATCH = Watch()


def season() -> Walk:
    """A case of forty days with everything in it; what the first use loads (zones, tables) is loaded afterwards."""
    walk = Walk().approved("nordic bridge heel-raise")
    walk.act("open fast strong in clinic")
    for day in range(1, 40):
        walk.on(day)
        walk.hear(TEXTS[day % len(TEXTS)])
        walk.act("release seen")
        walk.morning(str(day % 6 % 5))
        walk.act("ack")
        if walk.state.session and walk.state.session.open:
            walk.on(day, 18)
            walk.report(pain=str(day % 7 % 4))
    return walk


def test_step_opens_nothing():
    walk = season()
    arrivals = [(done.facts[0], done) for done in walk.steps if done.facts]
    state, taken = Walk().state, 0
    WATCH.on = True
    try:
        while taken < ENOUGH:
            for arrival, _ in arrivals:
                step(walk.state, arrival, walk.book)
                step(state, arrival, walk.book)
                next_wake(walk.state, walk.book)
                taken += 2
    finally:
        WATCH.on = False
    assert WATCH.heard == []
    assert taken >= ENOUGH


def test_watch_sees_an_opened_file():
    heard = len(WATCH.heard)
    WATCH.on = True
    try:
        Path(__file__).read_bytes()
    finally:
        WATCH.on = False
    assert len(WATCH.heard) > heard
    del WATCH.heard[heard:]


def test_same_input_gives_the_same_step():
    walk = season()
    for arrival in {done.facts[0] for done in walk.steps if done.facts and done.facts[0].kind == "heard"}:
        assert step(walk.state, arrival, walk.book) == step(walk.state, arrival, walk.book)


def test_step_leaves_its_state_alone():
    walk = season()
    before, said = walk.state, repr(walk.state)
    for done in walk.steps[-60:]:
        step(before, done.facts[0], walk.book)
    assert repr(before) == said


def test_core_imports_nothing_forbidden():
    for path in sorted(CORE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) and not node.level else []
            wrong = {name for name in names if name.split(".")[0] in FORBIDDEN}
            assert not wrong, f"{path.name} imports {wrong}"
