"""Counts the text keys the coach can say: those its source names, and those its dialogs lead to."""

import ast
import re
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import get_args

import coachbot
from coachbot import handbook
from coachbot.channels.matrix.succession import Why
from coachbot.core.book import Handbook, Level, Part
from coachbot.core.effects import CLINICIANS, TEAM
from coachbot.core.events import Opened
from coachbot.core.findings import SpeedMethod
from coachbot.core.rules.grounds import TOLD
from coachbot.core.rules.injury import PUBLISHED
from coachbot.core.rules.layout import Kind
from coachbot.core.rules.readiness import CRITERIA, Standing
from coachbot.core.speak import Entry
from coachbot.core.sums.trend import Word as Direction
from coachbot.core.talk.ends import WAITS
from coachbot.core.talk.pace import WORDS as PLAIN

SOURCE = Path(coachbot.__file__).parent
TREES = {path: ast.parse(path.read_text("utf-8")) for path in sorted(SOURCE.rglob("*.py"))}
SAYS = {"Word": 0, "reply": 0, "text": 0, "notice": 0, "_tell": 2, "_reply": 1}
"""The calls that take a text key, and which of their arguments it is."""
KEY = re.compile(r"[a-z_]+(\.[a-z0-9_-]+)+")
HOLE = "*"


@cache
def book() -> Handbook:
    """The shipped handbook."""
    return handbook.load()


@cache
def texts() -> dict[str, Entry]:
    """The English texts."""
    return dict(book().texts["en"].entries)


# ---- what the source names ----


def calls(name: str) -> list[ast.Call]:
    """Every call of a function or method of this name, anywhere in the program."""
    return _calls()[name]


@cache
def _calls() -> dict[str, list[ast.Call]]:
    found: defaultdict[str, list[ast.Call]] = defaultdict(list)
    for tree in TREES.values():
        for node in ast.walk(tree):
            if isinstance(node, ast.Call):
                found[called(node.func)].append(node)
    return found


def called(node: ast.expr) -> str:
    """The name by which a function or method is called, without what stands before the dot."""
    return node.id if isinstance(node, ast.Name) else node.attr if isinstance(node, ast.Attribute) else ""


def strings(node: ast.expr) -> Iterator[str]:
    """The texts an expression may give; what a value fills in is a hole."""
    match node:
        case ast.Constant(value=str(text)):
            yield text
        case ast.JoinedStr(values=parts):
            yield "".join(str(part.value) if isinstance(part, ast.Constant) else HOLE for part in parts)
        case ast.IfExp(body=one, orelse=other):
            yield from (*strings(one), *strings(other))
        case ast.BoolOp(values=several):
            yield from (text for each in several for text in strings(each))


@cache
def said() -> set[str]:
    """What stands where a text key is taken: whole keys, and patterns with holes."""
    return {text for name, place in SAYS.items() for call in calls(name) for text in _at(call, place)}


def _at(call: ast.Call, place: int, keyword: str = "") -> Iterator[str]:
    given = [*call.args[place : place + 1], *(k.value for k in call.keywords if k.arg == keyword)]
    return (text for node in given for text in strings(node))


def _named(call: str, place: int, keyword: str) -> set[str]:
    return {text for each in calls(call) for text in _at(each, place, keyword) if HOLE not in text}


def _constants(path: Path, *functions: str) -> set[str]:
    """The constants of a file, or of some of its functions."""
    wholes = [n for n in ast.walk(TREES[path]) if isinstance(n, ast.FunctionDef) and n.name in functions]
    nodes = (node for whole in wholes or [TREES[path]] for node in ast.walk(whole))
    return {node.value for node in nodes if isinstance(node, ast.Constant) and isinstance(node.value, str)}


@cache
def loose() -> set[str]:
    """Constants of the talk, the desk and the rules that look like keys and are neither numbers nor topics.

    Each is a text key that a function returns, or the name of a rule that reaches a reason by another way.
    """
    rules, talk = _keys("rules"), _keys("talk", "desk")
    topics = {f"{dialog.name}.{question}" for dialog in book().dialogs.values() for question in dialog.questions}
    return (rules | (talk - topics)) - set(book().numbers) - said() - _named("Reason", 0, "rule")


def _keys(*folders: str) -> set[str]:
    return {c for path in TREES if path.parent.name in folders for c in _constants(path) if KEY.fullmatch(c)}


# ---- what the dialogs lead to ----


def _unclear() -> set[str]:
    """Why an answer is not understood."""
    pain = _constants(SOURCE / "core" / "reading" / "pain.py", "_refused", "_fraction")
    hyphened = {word for word in pain if re.fullmatch(r"[a-z]+(-[a-z]+)+", word)}
    return _named("Unsure", 1, "why") | _named("Unclear", 0, "why") | hyphened


def _rules() -> set[str]:
    kinds = {f"{kind}{end}" for kind in ("strength", "run") for end in ("", "_first", "_day_after", "_planned")}
    week = _named("Why", 0, "key") | kinds | {f"gave_{name}" for name in TOLD}
    computed = {f"flag.{flag}" for flag in book().flags} | {f"course.{arrow.dest}" for arrow in book().course.arrows}
    return _named("Reason", 0, "rule") | computed | {f"week.{key}" for key in week}


def _parts() -> list[Part]:
    questions = [q for dialog in book().dialogs.values() for q in dialog.questions.values()]
    return [part for question in questions for part in question.parts if part.answer != "again"]


def _asked_alone() -> set[str]:
    questions = [q for dialog in book().dialogs.values() for q in dialog.questions.values()]
    return {part.slot for question in questions for part in question.parts[1:] if not part.optional}


def _exercises() -> set[str]:
    def names(level: Level) -> list[str]:
        return [level.exercise, *([level.choice.exercise] if level.choice else [])]

    return {name for ladder in book().ladders.values() for level in ladder.levels for name in names(level)}


def _alerting() -> set[str]:
    return {name for name, tier in book().tiers.items() if tier.acknowledge_within or tier.repeat_every}


@cache
def families() -> dict[str, set[str]]:
    """For each pattern that the source fills in, the keys it can become."""
    b, opened, alerting = book(), set(get_args(Opened.model_fields["what"].annotation)), _alerting()
    stops = {flag.advice or f"stop.{flag.tier}" for flag in b.flags.values() if flag.tier in alerting}
    return {
        "again.*": _all("again", _unclear()),
        "alert.recommendation.*": _all("alert.recommendation", alerting),
        "ask.*": _all("ask", _asked_alone()),
        "because.*": _all("because", _rules()),
        "choice.*.*": {f"choice.{part.slot}.{choice}" for part in _parts() for choice in part.choices},
        "choice.side.*": {"choice.side.left", "choice.side.right"},
        "course.*": _all("course", b.course.states),
        "echo.*": _all("echo", {part.slot for part in _parts()}),
        "example.*": _all("example", {part.answer for part in _parts()}),
        "exercise.*": _all("exercise", _exercises()),
        "how.*": _all("how", _exercises()),
        "family.*": _all("family", b.ladders),
        "flag.*": _all("flag", b.flags),
        "line.measured.*": {"line.measured.cones", "line.measured.stopwatch", "line.measured.video"},
        "line.plain.*": _all("line.plain", ("jog", *PLAIN)),
        "criterion.*": _all("criterion", CRITERIA),
        "criterion.standing.*": _all("criterion.standing", get_args(Standing)),
        "group.*": _all("group", (*PUBLISHED, *(f"deficit_{band}" for band in range(1, 5)))),
        "matrix.room.*": _all("matrix.room", (CLINICIANS, TEAM)),
        "matrix.unfit.*": _all("matrix.unfit", get_args(Why)),
        "method.*": _all("method", set(get_args(SpeedMethod)) - {"told"}),
        "test.*": _all("test", (key.removeprefix("tests.") for key in b.numbers if key.startswith("tests."))),
        "trend.*": _all("trend", (word.replace(" ", "-") for word in get_args(Direction))),
        "week.kind.*": _all("week.kind", Kind),
        "line.run.*": _all("line.run", (str(stage.number) for stage in b.stages)),
        "month.*": _all("month", map(str, range(1, 13))),
        "nobody_answered.*": _all("nobody_answered", alerting),
        "nothing_due.*": _all("nothing_due", WAITS),
        "opened.*": _all("opened", opened),
        "permission.lacks.*": _all("permission.lacks", CRITERIA),
        "opens.*": _all("opens", opened),
        "stop.*": stops,
        "tier.*": _all("tier", b.tiers),
        "weekday.*": _all("weekday", map(str, range(1, 8))),
        "*.*": _all("equipment", b.equipment),
    }


def _all(prefix: str, names) -> set[str]:
    return {f"{prefix}.{name}" for name in names}


@cache
def wanted() -> set[str]:
    """Every key the coach can say. A loose constant counts as the text it has: its own or one below `because`."""
    asked = {question.ask for dialog in book().dialogs.values() for question in dialog.questions.values()}
    whole = {key for key in said() if HOLE not in key}
    own = {key for key in loose() if f"because.{key}" not in texts()}
    return asked | whole | own | {f"because.{key}" for key in loose() - own} | set().union(*families().values())
