"""What is due now, and what follows when a question or a whole dialog is done; the wording is elsewhere."""

from coachbot.core.days import instant
from coachbot.core.effects import CLINICIANS, Word
from coachbot.core.events import DayOver, Reason
from coachbot.core.rules.morning import spoilt
from coachbot.core.rules.today import may_train, prescribe
from coachbot.core.state import IDLE
from coachbot.core.turn import Turn

from . import intake, morning, relay, report, tongue
from .answers import last_parts
from .session import is_loaded, say_hold, say_taken, say_today, short_word

WAITS = ("screened", "closed")


def due(turn: Turn, *, done: bool) -> str | None:
    """The dialog that is due when the athlete writes unasked; `done` says they finished a session."""
    state = turn.state
    if state.course in WAITS or state.hold:
        return None
    if state.course == "enrolled":
        return "intake"
    if state.morning is None or state.morning.day != turn.today:
        return "morning"
    return "report" if done and state.session and state.session.open else None


def nothing_due(turn: Turn, text: str = "") -> None:
    """Answer a message that no question asked for; while held, its words go to the clinicians."""
    state = turn.state
    if state.hold:
        if not text:
            return say_hold(turn)
        relay.keep(turn, text)
        return say_taken(turn)
    if state.course in WAITS:
        return turn.reply(f"nothing_due.{state.course}")
    if state.session and state.session.day == turn.today and state.session.open:
        return turn.reply("nothing_due.session_open")
    if state.session and state.session.day == turn.today and not any(line.reported for line in state.session.lines):
        return turn.reply("nothing_due.rest_day")
    return turn.reply("nothing_due.all_done")


def question_done(turn: Turn, topic: str) -> None:
    """One question is fully answered."""
    session = turn.state.session
    if topic in ("report.run", "report.work") and session and session.left is not None:
        report.line_done(turn, session.left)


def dialog_done(turn: Turn, dialog: str) -> None:
    """A dialog is over: do what it leads to."""
    match dialog:
        case "intake":
            intake.close(turn)
        case "morning":
            morning.close(turn)
        case "report":
            report.close(turn, sudden=False)
            turn.reply("report.thanks")
        case "pain":
            _pain_told(turn)
        case "stop":
            report.break_off(turn, sudden=False, said=False)
            _day_over(turn, Reason(rule="today.stopped"))
            turn.reply("stop.rest")
            _until_tomorrow(turn)
        case "clinician":
            words = str(turn.state.answers["to_clinician"].value)
            turn.say(CLINICIANS, Word("clinician.message", {"name": turn.state.name, "words": words}))
            turn.reply("clinician.sent")
        case "travel":
            turn.reply("travel.done")
        case "language":
            values = {"name": turn.state.name, "language": tongue.name(turn.state.language, turn.book)}
            turn.say(CLINICIANS, Word("clinician.language", values))
            turn.reply("language.done")
        case "correct":
            _corrected(turn)


def shown(turn: Turn) -> dict[str, object]:
    """What a question may show: the athlete, the side, the line asked about, the words quoted."""
    state, session = turn.state, turn.state.session
    side = state.intake.get("side")
    last = state.last_answer
    left = session.left if session else None
    line = session.lines[left] if session and left is not None else None
    return {
        "name": state.name,
        "moment": Word("moment.morning" if _is_morning(turn) else "moment.now"),
        "side": Word(f"choice.side.{side}") if side else Word("choice.side.unknown"),
        "quote": state.talk.quote,
        "languages": tongue.listed(turn.book),
        "line": short_word(turn, line) if line else "",
        "weight": Word("report.with_weight" if line and is_loaded(turn, line) else "line.no_load"),
        "words": ", ".join(state.answers[part.slot].words for part in last_parts(turn)) if last else "",
        "limit": turn.value(turn.book.programme.pain.limit),
    }


def _is_morning(turn: Turn) -> bool:
    """Whether it is asked before the hour of the reminder; after that nobody speaks of a morning any more."""
    course = turn.book.programme.course
    late = turn.value(course.checkin_hour) + turn.value(course.ask_again_after)
    return turn.at <= instant(turn.today, late, turn.state.zone)


def _day_over(turn: Turn, reason: Reason) -> None:
    turn.conclude(DayOver(at=turn.at, day=turn.today, reason=reason))


def _until_tomorrow(turn: Turn) -> None:
    """Say when the next question comes, unless one is still open today."""
    if turn.state.talk.topic == IDLE:
        turn.reply("day_over.tomorrow")


def spoils(turn: Turn) -> None:
    """Pain now over the limit, at once: the day is over, and no session that waits for its morning counts."""
    score, limit = float(str(turn.state.answers["pain_now"].value)), turn.value(turn.book.programme.pain.limit)
    if score > limit:
        reason = Reason(rule="ladder.over_limit", saw={"pain": score, "limit": limit}, number="pain.limit")
        spoilt(turn, reason)
        _day_over(turn, reason)


def _pain_told(turn: Turn, *, corrected: bool = False) -> None:
    score, limit = float(str(turn.state.answers["pain_now"].value)), turn.value(turn.book.programme.pain.limit)
    if score > limit:
        report.break_off(turn, sudden=False, said=False)
        spoils(turn)
        turn.reply("pain.over_limit", score=score, limit=limit)
        _until_tomorrow(turn)
    else:
        if corrected and turn.state.day_over:
            turn.conclude(DayOver(at=turn.at, day=turn.today, over=False, reason=Reason(rule="today.open_again")))
        turn.reply("pain.within_limit", score=score, limit=limit)


def _corrected(turn: Turn) -> None:
    """A second version of the last answer: decide again what the first one decided."""
    session = turn.state.session
    second = [answer for answer in turn.state.answers.values() if answer.corrects]
    if not second:  # a hold came before the second version, and the day it belonged to is over
        return
    last = max(second, key=lambda answer: answer.at)  # the answer to a doubt about its words may have come after it
    turn.reply("correct.kept")
    if turn.state.hold:
        turn.reply("correct.on_hold")
        turn.say(CLINICIANS, Word("clinician.corrected", {"name": turn.state.name, "words": last.words}))
    if turn.state.course in WAITS:
        return
    if last.slot == "pain_now":
        _pain_told(turn, corrected=True)
    same_day = turn.state.morning is not None and turn.state.morning.day == turn.today
    if last.slot in morning.SLOTS and same_day and turn.state.talk.topic == IDLE:
        morning.corrected(turn)
    elif last.topic in ("report.run", "report.work") and session:
        line = report.last_line(session)
        if line is not None and line not in (session.left,) and _line_complete(turn):
            report.corrected(turn, line)


def _line_complete(turn: Turn) -> bool:
    """Whether the corrected answer belongs to a line already recorded, not to one half told."""
    return not turn.state.talk.told & {"run_reps", "run_top", "run_pain", "work_done", "work_range", "work_pain"}


def released(turn: Turn) -> None:
    """After a release: today's session if this morning's answers stand, else the check-in comes first."""
    if may_train(turn.state, turn):
        prescribe(turn)
        say_today(turn)
    elif due(turn, done=False) == "morning":
        turn.reply("released.check_in_first")
