"""The words understood in any state: each is answered at once or opens a short interlude over the open topic."""

from collections.abc import Callable

from coachbot.core.effects import CLINICIANS, Word
from coachbot.core.events import Consented
from coachbot.core.state import IDLE
from coachbot.core.turn import Turn

from . import ends, plan, report, tongue
from .because import why


def _help(turn: Turn) -> None:
    turn.reply("help.words")
    turn.reply("help.emergency")


def _why(turn: Turn) -> None:
    why(turn)


def _skip(turn: Turn) -> None:
    session = turn.state.session
    if session and session.open:
        report.break_off(turn, sudden=False, said=True)
        turn.reply("skip.kept")
    else:
        turn.reply("skip.nothing")


def _hello(turn: Turn) -> str | None:
    if turn.state.talk.topic != IDLE:
        if turn.state.hold:
            ends.nothing_due(turn)
        return None
    turn.reply("hello", name=turn.state.name)
    due = ends.due(turn, done=False)
    if due is None:
        ends.nothing_due(turn)
    return due


def _correct(turn: Turn) -> str | None:
    if turn.state.last_answer is None:
        turn.reply("correct.nothing")
        return None
    return "correct"


def _share(turn: Turn, *, given: bool) -> None:
    """Consent is the athlete's alone, and holds from this moment on."""
    turn.conclude(Consented(at=turn.at, given=given))
    turn.reply("share.given" if given else "share.withdrawn")
    turn.say(CLINICIANS, Word("clinician.shares" if given else "clinician.shares_no_more", {"name": turn.state.name}))


def _week(turn: Turn) -> None:
    for word in plan.week(turn):
        turn.reply(word.key, **word.values)


def _language(turn: Turn) -> str | None:
    """Another language, where there is one that lacks nothing."""
    if len(turn.book.offered) > 1:
        return "language"
    turn.reply("language.only", language=tongue.name(turn.state.language, turn.book))
    return None


COMMANDS: dict[str, Callable[[Turn], str | None]] = {
    "help": _help,
    "why": _why,
    "skip": _skip,
    "hello": _hello,
    "correct": _correct,
    "week": _week,
    "stop": lambda turn: "stop",
    "pain": lambda turn: "pain",
    "clinician": lambda turn: "clinician",
    "language": _language,
    "travel": lambda turn: "travel",
    "share": lambda turn: _share(turn, given=True),
    "unshare": lambda turn: _share(turn, given=False),
}
"""What each word does; a name it returns is the dialog that begins."""
