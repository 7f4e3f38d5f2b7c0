"""Watches every message and every answer for red flags, before anything else is done with it."""

from collections.abc import Callable

from coachbot.core.effects import CLINICIANS, Word
from coachbot.core.events import Answered, Asked, Noted, Reason, Resumed, Shelved
from coachbot.core.reading import Found, clean, command, flags, numeric
from coachbot.core.rules.morning import spoilt
from coachbot.core.rules.safety import COACH, day_of_injury, raise_flag
from coachbot.core.state import IDLE, Talk
from coachbot.core.turn import Turn

from . import morning, report
from .answers import SCREENS, Value, language, last_parts, read_parts

ONSET = "intake"
DOUBT = "doubt"
QUIET = (DOUBT, ONSET, "clinician")
"""Dialogs in which unsure words raise no question: it is open already, closed questions about red flags are part of
it and its answers are names and places, or a person will read the words anyway."""
SCORE = "severe-pain"
"""The flag that a score alone may raise."""
ORDER = ("emergency", "same-day", "soon", "watch")


Record = Callable[[Turn, str], bool]
"""Records what a message answers of the open question; whether it did."""


def words(turn: Turn, text: str, record: Record) -> bool:
    """Raise what the words show, or ask about what they may show. True: nothing more is done with the message."""
    if _offered(turn, text):
        return False
    reading = flags(text, language(turn))
    found = [each for each in reading.alerts if not _expected(turn, each)]
    if found:
        if not _stopped_by_score(turn, text, found, record):
            _raise_all(turn, found)
        if turn.state.hold is None:
            return False
        _screened(turn, text)
        return True
    if reading.verdict == "ask" and not _plain(turn, text):
        return _doubt(turn, text, ", ".join(reading.doubts), record)
    return False


def _stopped_by_score(turn: Turn, text: str, found: list[Found], record: Record) -> bool:
    """Whether the score that is the only sign stops all training as an answer, which is recorded first."""
    if turn.state.hold is not None or not _numbers(turn, text) or {each.flag for each in found} != {SCORE}:
        return False
    record(turn, text)
    return turn.state.hold is not None


def _offered(turn: Turn, text: str) -> bool:
    """Whether the message is just one of the choices of the open question: its answer is looked at instead."""
    return _whole(turn, text, ("choice",))


def _doubt(turn: Turn, text: str, quote: str, record: Record) -> bool:
    """Ask about unsure words, or only note them, as the policy says; what was answered beside them is kept at once.

    True: a question is open now, or the answer itself held the case.
    """
    policy = language(turn).policy
    assert policy is not None, "the policy comes with the words by which red flags are found"
    if policy.decide("ask", _settled(turn), jump=False).act == "note":
        _note(turn, quote)
        return False
    recorded = record(turn, text)
    if turn.state.hold is None:
        question(turn, quote, "" if recorded else text)
    else:
        _note(turn, quote)
    return True


def _note(turn: Turn, quote: str) -> None:
    turn.conclude(Noted(at=turn.at, by=COACH, note=quote))
    turn.say(CLINICIANS, Word("clinician.doubt_noted", {"name": turn.state.name, "quote": quote}))


def question(turn: Turn, quote: str, pending: str = "") -> None:
    """The one closed question about unsure words; `pending` is answered once it is settled."""
    turn.conclude(Asked(at=turn.at, topic=f"{DOUBT}.settle", quote=quote, pending=pending, over=True))
    turn.reply("doubt.settle", quote=quote)
    turn.asks = True


def shelve(turn: Turn) -> None:
    """A clinician's hold comes upon that question: they are told of it, and it is asked again after the release."""
    talk: Talk | None = turn.state.talk
    while talk and talk.dialog != DOUBT:
        talk = talk.under
    if talk:
        turn.conclude(Shelved(at=turn.at, quote=talk.quote))
        turn.say(CLINICIANS, Word("clinician.doubt_open", {"name": turn.state.name, "quote": talk.quote}))


def _settled(turn: Turn) -> str:
    """Today's answer to the closed question about unsure words: one such question a day is enough."""
    answer = turn.state.answers.get("doubt")
    return "no" if answer is not None and answer.day == turn.today and answer.value is False else "silent"


def _plain(turn: Turn, text: str) -> bool:
    """Where unsure words need no question: a known command, a fully understood answer, a hold, or a quiet topic."""
    quiet = turn.state.talk.dialog in QUIET or turn.state.hold is not None
    return quiet or command(text, language(turn)) is not None or _understood(turn, text)


def _understood(turn: Turn, text: str) -> bool:
    """Whether the message is an answer to the open question ("settled", "8 no fine"); numbers are judged as values."""
    return _whole(turn, text, ("choice", "yes_no", "full_range", "language", "zone")) or _numbers(turn, text)


def _numbers(turn: Turn, text: str) -> bool:
    """Whether numbers among nothing but answer words answer the open question."""
    return turn.state.talk.topic != IDLE and numeric(text, language(turn))


def _whole(turn: Turn, text: str, kinds: tuple[str, ...]) -> bool:
    """Whether the whole message is one answer of these kinds to the open question."""
    if turn.state.talk.topic == IDLE:
        return False
    talk = turn.state.talk
    asked = turn.book.dialogs[talk.dialog].questions[talk.question].parts
    parts = last_parts(turn) if talk.dialog == "correct" else asked
    found = (read_parts(turn, [part], text)[part.slot] for part in parts if part.answer in kinds)
    whole = clean(text).text
    return any(isinstance(answer, Value) and answer.words == whole for answer in found)


def _expected(turn: Turn, found: Found) -> bool:
    """At intake the injury's own onset may well have been a pop: it is noted for the clinician, not raised."""
    expected = turn.state.talk.dialog == ONSET and turn.book.flags[found.flag].expected_at_onset
    if expected:
        turn.conclude(Noted(at=turn.at, by=COACH, note=found.words))
    return expected


def _screened(turn: Turn, text: str) -> None:
    """A sign that held the case answers the screening question that is open with yes; it is not asked again later."""
    slot = turn.state.talk.question
    if turn.state.talk.dialog == ONSET and slot in SCREENS:
        topic = turn.state.talk.topic
        turn.conclude(Answered(at=turn.at, topic=topic, slot=slot, value=True, words=text, day=turn.today))


def _raise_all(turn: Turn, found: list[Found]) -> None:
    """Raise each flag once, the most urgent first, then let the talk rest."""
    by_flag = {each.flag: each.words for each in found}
    for flag in sorted(by_flag, key=lambda each: ORDER.index(turn.book.flags[each].tier)):
        raise_flag(turn, flag, by_flag[flag])
    rest(turn)


def rest(turn: Turn, *, sudden: bool = True) -> None:
    """While a case is held no question is open, but an intake waits where it stood.

    `sudden`: a sign held it, so what was trained before and waits for its morning does not count.
    """
    if turn.state.hold is None:
        return
    morning.left(turn)
    if sudden:
        spoilt(turn, Reason(rule="morning.sudden"))
    report.break_off(turn, sudden=sudden, said=False)
    while turn.state.talk.topic != IDLE and turn.state.talk.dialog != ONSET:
        turn.conclude(Resumed(at=turn.at))


def answers(turn: Turn) -> bool:
    """Look at the answers of this turn: a yes or a number may be a red flag too. True: the case is held now."""
    for slot, sign in SIGNS.items():
        answer = turn.state.answers.get(slot)
        if answer is not None and answer.at == turn.at and slot in turn.state.talk.told:
            flag = sign(turn, answer)
            if flag:
                _before(turn, answer)
                raise_flag(turn, flag, turn.state.talk.quote or answer.words)
                rest(turn)
                return turn.state.hold is not None
    return False


def unanswered(turn: Turn) -> bool:
    """A closed question about a possible red flag that stays unanswered holds the case."""
    if turn.state.talk.dialog != DOUBT or turn.state.talk.tries < turn.value(turn.book.programme.course.closed_tries):
        return False
    give_up(turn)
    return True


def give_up(turn: Turn) -> None:
    """No answer is not a no: the case is held until a person has asked."""
    morning.left(turn)
    raise_flag(turn, "unclear-answer", turn.state.talk.quote)
    rest(turn)


def _before(turn: Turn, answer: Answered) -> None:
    """What must be recorded before the flag: the morning, or the line of a report, that told of it."""
    if answer.slot in ("run_pain", "work_pain"):
        report.hurt(turn, answer)
    elif answer.slot == "sudden" and answer.corrects:
        morning.taken_back(turn)
    elif answer.slot == "sudden" and "walking" in turn.state.talk.told:
        morning.take(turn)


def _yes(flag: str) -> Callable[[Turn, Answered], str | None]:
    return lambda turn, answer: flag if answer.value is True else None


def _is(choice: str, flag: str) -> Callable[[Turn, Answered], str | None]:
    return lambda turn, answer: flag if answer.value == choice else None


def _gait(turn: Turn, answer: Answered) -> str | None:
    """Not walking is a sign on any day; a limp once the first week is over."""
    day, review = day_of_injury(turn), turn.value(turn.book.programme.course.review_day)
    late = day is not None and day >= review
    return {"cannot": "cannot-walk", "limp": "limp-at-intake" if late else None}.get(str(answer.value))


def _severe(flag: str) -> Callable[[Turn, Answered], str | None]:
    def sign(turn: Turn, answer: Answered) -> str | None:
        alarm = turn.value(turn.book.programme.pain.rest_alarm)
        return flag if float(str(answer.value)) >= alarm else None

    return sign


SIGNS: dict[str, Callable[[Turn, Answered], str | None]] = {
    "emergency": _yes("screen-emergency"),
    "urgent": _yes("screen-urgent"),
    "gait": _gait,
    "age": _is("under-18", "under-18"),
    "sudden": _yes("new-symptom"),
    "after_sudden": _yes("new-symptom"),
    "stop_sudden": _yes("new-symptom"),
    "doubt": _yes("new-symptom"),
    "pain_now": _severe("rest-pain"),
    "run_pain": _severe(SCORE),
    "work_pain": _severe(SCORE),
}
"""Which answers are red flags by themselves."""
