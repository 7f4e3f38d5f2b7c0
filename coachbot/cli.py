"""The commands, and the only file that picks concrete classes; every fault a person can mend ends in one sentence."""

import argparse
import gc
import io
import os
import re
import sys
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from coachbot import __version__

if TYPE_CHECKING:
    from coachbot.records import Person
    from coachbot.serve.config import Config

STORE = Path("coach.sqlite")
DEMO = Path("demo.sqlite")
CONFIG = Path("coach.toml")
OBJECTS = 50_000
"""Python looks for garbage after so many new objects: at its own 700 this takes an eighth of the start."""


def main() -> None:
    """Run one command; a fault that a person can mend is said in a sentence and ends with exit code 2."""
    gc.set_threshold(OBJECTS)
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # looking for them takes a twelfth of the start
    _unbreakable()
    arguments = _parser().parse_args()
    from coachbot.coach import UnknownPerson
    from coachbot.core.reading.language import Incomplete
    from coachbot.handbook import HandbookError
    from coachbot.journal import JournalError

    try:
        sys.exit(arguments.run(arguments))
    except (HandbookError, Incomplete, JournalError, UnknownPerson) as error:
        sys.exit(_say(str(error)))
    except FileNotFoundError as error:
        sys.exit(_say(f"{error.filename} is not there. Check the name."))
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # nobody reads any more
    except KeyboardInterrupt:
        pass
    sys.exit(0)


def _unbreakable() -> None:
    """A sign that this terminal cannot show is shown as a question mark."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _say(sentence: str) -> int:
    print(sentence, file=sys.stderr)
    return 2


def now() -> datetime:
    """The present instant: the one place of the terminal program that reads the clock."""
    return datetime.now(UTC)


class _Parser(argparse.ArgumentParser):
    """Says in one sentence what is wrong with a command line."""

    def error(self, message: str) -> NoReturn:
        unknown = re.search(r"invalid choice: '?([^' (]+)", message)
        if unknown:
            message = f"There is no command {unknown[1]}. Commands: {', '.join(name for name, _, _ in COMMANDS)}"
        self.exit(2, f"{message}. More: coachbot --help\n")


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="coachbot",
        description="Without a command: the chat of an athlete.",
        usage="coachbot [--store FILE] [--as NAME] [command]",
    )
    parser.add_argument("--version", action="version", version=f"coachbot {__version__}")
    _common(parser, STORE, None)
    parser.set_defaults(run=_chat)
    commands = parser.add_subparsers(title="commands", metavar="", prog="coachbot")
    for name, run, what in COMMANDS:
        command = commands.add_parser(name, help=what, description=what)
        command.set_defaults(run=run)
        for flags, options in OPTIONS.get(name, ()):
            command.add_argument(*flags, **options)
    for name in ("desk", "plan"):
        _common(commands.choices[name], argparse.SUPPRESS, argparse.SUPPRESS)
    return parser


def _common(parser: argparse.ArgumentParser, store: object, person: object) -> None:
    what = "the file with all cases (default: coach.sqlite)"
    parser.add_argument("--store", type=Path, default=store, metavar="FILE", help=what)
    who = "which athlete or clinician you are"
    parser.add_argument("--as", dest="person", default=person, metavar="NAME", help=who)


def _chat(arguments: argparse.Namespace) -> int:
    import coachbot
    from coachbot import room
    from coachbot.channels import terminal

    coach = coachbot.open(arguments.store)
    athletes = coach.journal.people("athlete")
    named = _called(arguments.person, athletes)
    if not athletes:
        return _say(f"Nobody is enrolled in {arguments.store} yet. The clinician does that: coachbot desk, enrol NAME.")
    if len(named) != 1:
        known = ", ".join(p.name if len(_called(p.name, athletes)) == 1 else f"{p.name} ({p.id})" for p in athletes)
        return _say(f"Who are you? Start with: coachbot --as NAME. Known here: {known}.")
    room.athlete(coach, terminal.here("you> "), now, named[0].id)
    return 0


def _called(name: str | None, people: "Sequence[Person]") -> "list[Person]":
    """Who has this name or id, capitals or not; everybody when no name is given."""
    if name is None:
        return list(people)
    return [p for p in people if p.id == name] or [p for p in people if p.name.casefold() == name.casefold()]


def _desk(arguments: argparse.Namespace) -> int:
    import coachbot
    from coachbot import room
    from coachbot.channels import terminal

    coach = coachbot.open(arguments.store)
    known = [p.id for p in coach.journal.people("owner", "clinician", "staff")]
    who = arguments.person or (known[0] if known else "clinician")
    if known and who not in known:
        return _say(
            f"Nobody at this desk is called {who}. Known here: {', '.join(known)}. One of them adds a colleague."
        )
    room.desk(coach, terminal.here("desk> "), now, who)
    return 0


def _plan(arguments: argparse.Namespace) -> int:
    import coachbot
    from coachbot.core.speak import speak
    from coachbot.core.talk import plan
    from coachbot.core.turn import Turn

    coach = coachbot.open(arguments.store)
    athletes = _called(arguments.person, coach.journal.people("athlete"))
    for person in athletes:
        state = coach.case(person.case or person.id)
        words = plan.week(Turn(state, coach.book, now()))
        print(f"{person.name}\n{speak(words, coach.book.texts[state.language])}\n")
    return 0 if athletes else _say(f"No such athlete in {arguments.store}. Everybody's week: coachbot plan")


def _demo(arguments: argparse.Namespace) -> int:
    from coachbot import demo, room
    from coachbot.channels import terminal

    coach, person = demo.open(arguments.file, now())
    room.athlete(coach, terminal.here("you> "), now, person)
    return 0


def _programme(arguments: argparse.Namespace) -> int:
    from coachbot import handbook
    from coachbot.pages.programme import programme_text

    if arguments.folder and not arguments.folder.is_dir():
        return _say(f"{arguments.folder} is no folder. Check the name.")
    if not arguments.check:
        print(programme_text(handbook.load(arguments.folder)))
        return 0
    findings = handbook.check(arguments.folder)
    print("\n".join(map(str, findings)) or "The programme is in order.")
    return 1 if findings else 0


def _draw(arguments: argparse.Namespace) -> int:
    from coachbot import handbook
    from coachbot.core.flow import mermaid

    dialogs = handbook.load().dialogs
    if arguments.dialog not in (None, *dialogs):
        return _say(f"There is no dialog {arguments.dialog}. Dialogs: {', '.join(dialogs)}.")
    chosen = [dialogs[arguments.dialog]] if arguments.dialog in dialogs else list(dialogs.values())
    for dialog in chosen:
        print(f"%% {dialog.name}: {dialog.why}\n{mermaid(dialog)}")
    return 0


def _replay(arguments: argparse.Namespace) -> int:
    from coachbot.channels import replay

    return replay.replay(
        arguments.files,
        check=arguments.check,
        record=arguments.record,
        as_json=arguments.json,
        pace=arguments.pace,
    )


def _understand(arguments: argparse.Namespace) -> int:
    from coachbot.pages import understanding

    if arguments.report:
        try:
            how = {"misses": arguments.misses, "meaning": arguments.meaning}
            print(understanding.report(arguments.report, arguments.kind, **how))
        except ValueError as error:
            return _say(str(error))
    elif arguments.text is None:
        return _say('Write the message in quotes: coachbot understand "2 then 5 by the end".')
    else:
        print(understanding.explain(arguments.text, as_json=arguments.json, meaning=arguments.meaning))
    return 0


def _serve(arguments: argparse.Namespace) -> int:
    return _in_matrix(arguments, "serve")


def _login(arguments: argparse.Namespace) -> int:
    return _in_matrix(arguments, "login")


def _doctor(arguments: argparse.Namespace) -> int:
    return _in_matrix(arguments, "doctor")


def _in_matrix(arguments: argparse.Namespace, what: str) -> int:
    from coachbot.serve import config

    try:
        settings = config.load(arguments.config)
    except config.ConfigError as error:
        return _say(str(error))
    try:
        from coachbot.serve import doors
    except ImportError as error:
        if what == "doctor":
            return _checkup(settings)
        return _say(f"{error.name} is missing. Matrix needs more packages: pip install 'coachbot[matrix]'")
    return int(getattr(doors, what)(settings, now))


def _checkup(settings: "Config") -> int:
    """What can be looked at without the packages of Matrix; that they are missing is one of the findings."""
    from coachbot.serve import checkup

    print(*checkup.examine(settings), sep="\n")
    return 1


COMMANDS: tuple[tuple[str, Callable[[argparse.Namespace], int], str], ...] = (
    ("demo", _demo, "a live check-in with a demo athlete"),
    ("desk", _desk, "the clinicians' desk: approve, hold, release, answer alerts"),
    ("login", _login, "log the coach in to its Matrix account, once"),
    ("serve", _serve, "run the coach in Matrix until it is stopped"),
    ("doctor", _doctor, "look for what is wrong with the coach in Matrix, and say what to do"),
    ("plan", _plan, "print the coming week with the reason for each day"),
    ("programme", _programme, "print the programme: every number with its source and range"),
    ("draw", _draw, "draw the dialogs as Mermaid diagrams"),
    ("replay", _replay, "play a written conversation"),
    ("understand", _understand, "show how a message is read, and why"),
)
_FOLDER: dict[str, Any] = {"nargs": "?", "type": Path, "help": "a folder of your own (default: the shipped one)"}
_SETTINGS: dict[str, Any] = {"type": Path, "default": CONFIG, "metavar": "FILE", "help": "default: coach.toml"}
_CONFIG = (("--config",), _SETTINGS)
OPTIONS: dict[str, tuple[tuple[tuple[str, ...], dict[str, Any]], ...]] = {
    "login": (_CONFIG,),
    "serve": (_CONFIG,),
    "doctor": (_CONFIG,),
    "demo": ((("--file",), {"type": Path, "default": DEMO, "help": "where the demo case is kept"}),),
    "programme": (
        (("folder",), _FOLDER),
        (("--check",), {"action": "store_true", "help": "look for mistakes, with file and line"}),
    ),
    "draw": ((("dialog",), {"nargs": "?", "help": "one dialog (default: all)"}),),
    "replay": (
        (("files",), {"nargs": "+", "type": Path}),
        (("--check",), {"action": "store_true", "help": "compare with what is written and show the difference"}),
        (("--record",), {"action": "store_true", "help": "write down what the coach says now"}),
        (("--json",), {"action": "store_true", "help": "print events, session and alerts of every turn"}),
        (("--pace",), {"type": float, "default": 0.0, "help": "seconds between two lines"}),
    ),
    "understand": (
        (("text",), {"nargs": "?", "help": "the message"}),
        (("--json",), {"action": "store_true", "help": "as JSON"}),
        (("--report",), {"type": Path, "help": "run a CSV file of labelled phrases and print the counts"}),
        (("--kind",), {"help": "what the phrases of the file are about, when its name does not say it"}),
        (("--misses",), {"action": "store_true", "help": "print every phrase that was read otherwise"}),
        (("--meaning",), {"action": "store_true", "help": "also read by what the words mean (extra: meaning)"}),
    ),
}
