"""Says today's session, rest or what to do instead, line by line, always with the reason."""

from functools import reduce

from coachbot.core.effects import Word
from coachbot.core.events import Reason, Run, Work
from coachbot.core.turn import Turn

from .because import because
from .pace import pace


def say_today(turn: Turn) -> None:
    """Add today's session to the reply; what to do instead when there is none."""
    session = turn.state.session
    if turn.state.hold:
        return say_hold(turn)
    if session is None or session.day != turn.today:
        return turn.reply("today.nothing")
    if session.over:
        return turn.reply("today.over")
    numbered = [line for line in session.lines if line.reported]
    turn.reply(_head(numbered), reasons=_together(session.reasons))
    for number, line in enumerate(numbered, start=1):
        turn.reply("today.line", n=number, line=line_word(turn, line), reason=because(line.reason))
        if isinstance(line, Work) and _is_new(turn, line):
            turn.reply("today.how", how=Word(f"how.{line.exercise}"))
    _say_gentle(turn, [line for line in session.lines if isinstance(line, Work) and not line.reported])
    return _say_advice(turn, resting=not numbered)


def _say_advice(turn: Turn, *, resting: bool) -> None:
    """When to stop, or how much walking is fine: no easy walk for whom walking hurt over the limit this morning."""
    limit, morning = turn.value(turn.book.programme.pain.limit), turn.state.morning
    if resting and morning is not None and morning.walking > limit:
        return turn.reply("today.rest_advice_over", walking=morning.walking)
    if limit:
        return turn.reply("today.rest_advice" if resting else "today.when_done", limit=limit)
    return turn.reply("today.rest_advice_free" if resting else "today.when_done_free")


def _say_gentle(turn: Turn, lines: list[Work]) -> None:
    """The movements by comfort in one line; how to do each only when it is new."""
    if lines:
        turn.reply("today.gentle", lines=tuple(Word("line.gentle", _dose(line)) for line in lines))
    for line in lines:
        if _is_new(turn, line):
            turn.reply("today.gentle_how", exercise=Word(f"exercise.{line.exercise}"), how=Word(f"how.{line.exercise}"))


def _is_new(turn: Turn, line: Work) -> bool:
    """Whether no earlier day asked for this exercise, so that how to do it was not told yet."""
    earlier = (each for s in turn.state.sessions if s.day < turn.today for each in s.lines)
    return not any(isinstance(each, Work) and each.exercise == line.exercise for each in earlier)


def _together(reasons: tuple[Reason, ...]) -> Word:
    """The first reasons as one text."""
    words = [because(reason) for reason in reasons[:MOST_REASONS]] or [Word("because.week.recover")]
    return reduce(lambda first, then: Word("today.reasons", {"first": first, "then": then}), words)


MOST_REASONS = 2
"""How many reasons stand in the first line of a session; ``why`` tells them all."""


def _head(numbered: list[Run | Work]) -> str:
    kinds = {type(line) for line in numbered}
    if not kinds:
        return "today.rest"
    return "today.both" if len(kinds) > 1 else "today.run" if Run in kinds else "today.strength"


def line_word(turn: Turn, line: Run | Work) -> Word:
    """One line of a session in words."""
    if isinstance(line, Run):
        return _run(turn, line)
    load = Word("line.load", {"kg": line.load}) if line.load else Word("line.no_load")
    return Word("line.work", {**_dose(line), "load": load})


def short_word(turn: Turn, line: Run | Work) -> Word:
    """One line of a session as it is asked about afterwards: what it was, not how it is done."""
    if isinstance(line, Work):
        return line_word(turn, line)
    percent = f"{line.percent:g}-{line.up_to:g}" if line.up_to > line.percent else f"{line.percent:g}"
    return Word("line.run_short", {"n": line.repetitions, "percent": percent})


def is_loaded(turn: Turn, line: Run | Work) -> bool:
    """Whether this level is done with a weight."""
    return isinstance(line, Work) and turn.book.ladders[line.family].level(line.level).loaded


def _dose(line: Work) -> dict[str, object]:
    return {
        "exercise": Word(f"exercise.{line.exercise}"),
        "sets": line.sets,
        "reps": f"{line.reps_low}-{line.reps_high}" if line.reps_low < line.reps_high else str(line.reps_low),
        "side": Word("line.each_side") if line.each_side else Word("line.no_side"),
    }


def _run(turn: Turn, line: Run) -> Word:
    more = Word("line.may_rise", {"up_to": line.up_to}) if line.up_to > line.percent else Word("line.no_rise")
    build, hold, slow = line.zones
    values = {
        "n": line.repetitions,
        "percent": line.percent,
        "build": build,
        "hold": hold,
        "slow": slow,
        "speed": pace(turn, line),
        "more": more,
    }
    return Word(f"line.run.{line.stage}", values)


def say_hold(turn: Turn) -> None:
    """Tell that training is stopped, why, and who has the message."""
    hold = turn.state.hold
    if hold is None:
        return
    turn.reply("hold.stands", reason=because(hold.reason))
    say_taken(turn)


def say_taken(turn: Turn) -> None:
    """Tell plainly who has the message about this case, or that nobody has it yet."""
    waiting = [a for a in turn.state.alerts.values() if a.taken_by is None]
    taken = [a.taken_by for a in turn.state.alerts.values() if a.taken_by]
    if waiting:
        turn.reply("hold.nobody_yet")
    elif taken:
        turn.reply("hold.taken", who=taken[-1])
