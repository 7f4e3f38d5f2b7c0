"""The commands, and the only file that picks concrete classes; every fault a person can mend ends in one sentence."""

import argparse
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

STORE = Path("coach.sqlite")
DEMO = Path("demo.sqlite")


def main() -> None:
    """Run one command; a fault that a person can mend is said in a sentence and ends with exit code 2."""
    arguments = _parser().parse_args()
    from coachbot.coach import UnknownPerson
    from coachbot.handbook import HandbookError
    from coachbot.journal import JournalError

    try:
        sys.exit(arguments.run(arguments))
    except (HandbookError, JournalError, UnknownPerson) as error:
        sys.exit(_say(str(error)))
    except (BrokenPipeError, KeyboardInterrupt):
        sys.exit(0)


def _say(sentence: str) -> int:
    print(sentence, file=sys.stderr)
    return 2


def now() -> datetime:
    """The present instant: the one place of the terminal program that reads the clock."""
    return datetime.now(UTC)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="coachbot", description="The athlete's chat; other commands below.")
    parser.add_argument("--store", type=Path, default=STORE, help="the file with all cases (default: coach.sqlite)")
    parser.add_argument("--as", dest="person", help="which athlete, or which clinician, you are")
    parser.set_defaults(run=_chat)
    commands = parser.add_subparsers(title="commands", metavar="")
    for name, run, what in COMMANDS:
        command = commands.add_parser(name, help=what, description=what)
        command.set_defaults(run=run)
        for flags, options in OPTIONS.get(name, ()):
            command.add_argument(*flags, **options)
    return parser


def _chat(arguments: argparse.Namespace) -> int:
    import coachbot
    from coachbot import room
    from coachbot.channels import terminal

    coach = coachbot.open(arguments.store)
    athletes = coach.journal.people("athlete")
    named = [p for p in athletes if arguments.person in (None, p.id, p.name)]
    if not athletes:
        return _say("Nobody is enrolled in this file yet. Your clinician does that: coachbot desk, then: enrol <name>.")
    if len(named) != 1:
        return _say(f"Who are you? Start with: coachbot --as <name>. Known here: {', '.join(p.name for p in athletes)}.")
    room.athlete(coach, terminal.here("you> "), now, named[0].id)
    return 0


def _desk(arguments: argparse.Namespace) -> int:
    import coachbot
    from coachbot import room
    from coachbot.channels import terminal

    coach = coachbot.open(arguments.store)
    clinicians = [p.id for p in coach.journal.people("clinician")]
    who = arguments.person or (clinicians[0] if clinicians else "clinician")
    room.desk(coach, terminal.here("desk> "), now, who)
    return 0


def _demo(arguments: argparse.Namespace) -> int:
    from coachbot import demo, room
    from coachbot.channels import terminal

    coach, person = demo.open(arguments.file, now())
    room.athlete(coach, terminal.here("you> "), now, person)
    return 0


def _programme(arguments: argparse.Namespace) -> int:
    from coachbot import handbook
    from coachbot.pages.programme import programme_text

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
    chosen = [dialogs[arguments.dialog]] if arguments.dialog in dialogs else list(dialogs.values())
    for dialog in chosen:
        print(f"%% {dialog.name}: {dialog.why}\n{mermaid(dialog)}")
    return 0


def _replay(arguments: argparse.Namespace) -> int:
    from coachbot.channels import script

    return script.replay(
        arguments.files,
        check=arguments.check,
        record=arguments.record,
        as_json=arguments.json,
        pace=arguments.pace,
    )


def _understand(arguments: argparse.Namespace) -> int:
    from coachbot.pages import understanding

    return understanding.understand(arguments)


COMMANDS: tuple[tuple[str, Callable[[argparse.Namespace], int], str], ...] = (
    ("demo", _demo, "a live check-in with a demo athlete"),
    ("desk", _desk, "the clinicians' desk: approve, hold, release, answer alerts"),
    ("programme", _programme, "print the programme: every number with its source and range"),
    ("draw", _draw, "draw the dialogs as Mermaid diagrams"),
    ("replay", _replay, "play a written conversation"),
    ("understand", _understand, "show how a message is read, and why"),
)
_FOLDER = {"nargs": "?", "type": Path, "help": "a folder of your own (default: the shipped one)"}
OPTIONS: dict[str, tuple[tuple[tuple[str, ...], dict[str, object]], ...]] = {
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
    ),
}
