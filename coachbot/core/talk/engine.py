"""Moves the conversation: safety first, then the words always understood, then the question that is open."""

from collections.abc import Sequence
from functools import lru_cache, reduce

from coachbot.core.book import Handbook, Part, Question
from coachbot.core.effects import Word
from coachbot.core.events import Answered, Asked, Heard, Remarked, Resumed, Settled
from coachbot.core.flow import END, Topics
from coachbot.core.reading import Kind, Reading, clean, command, read
from coachbot.core.rules.guards import guard
from coachbot.core.state import IDLE
from coachbot.core.turn import Turn

from . import always, ends, permission, report, watch
from .answers import Answer, Unclear, Value, choices, language, last_parts, no_run, read_parts

CHOICES_FROM = 2
"""From this try on, a question that was not understood offers its choices (common practice, no source)."""


WHOLE = ("travel", "language")
"""Dialogs whose answer is done with at once: beside unsure words it waits until these are settled."""


@lru_cache(maxsize=4)
def _topics(book: Handbook) -> Topics:
    return Topics(book.dialogs)


def hear(turn: Turn, heard: Heard) -> None:
    """Answer one message of the athlete."""
    if not clean(heard.text).text:
        turn.reply("again.empty")
        return ask(turn)
    if watch.words(turn, heard.text, _edited if heard.edits else _beside):
        return None
    return _understand(turn, heard.text, edits=heard.edits is not None)


def _understand(turn: Turn, text: str, *, edits: bool = False) -> None:
    word = command(text, language(turn))
    if word and word in always.COMMANDS:
        return _obey(turn, word)
    leave = _asks_leave(turn, text)
    if leave:
        permission.say(turn)
    if turn.state.hold and turn.state.talk.dialog == watch.ONSET:
        return ends.nothing_due(turn, text)
    if edits and turn.state.last_answer and not leave:
        begin(turn, "correct", silently=True)
    if turn.state.talk.topic == IDLE:
        return _unasked(turn, word, text, remark=not (word or leave))
    return ask(turn) if leave and not _told(turn, text) else _answer(turn, text)


def _asks_leave(turn: Turn, text: str) -> bool:
    """Whether the words ask to play or run; what is written where free words were asked for is left as it is."""
    free = turn.state.talk.topic != IDLE and any(part.answer == "text" for part in _open_parts(turn))
    return not free and permission.asks(turn, clean(text).text)


def _told(turn: Turn, text: str) -> bool:
    """Whether the message answers anything of the open question."""
    return any(isinstance(answer, Value) for answer in _read(turn, text)[1].values())


def begin(turn: Turn, dialog: str, *, silently: bool = False) -> None:
    """Start a dialog and ask its first question; an interlude is laid over the topic that is open."""
    topic = _topics(turn.book).first(dialog, guard(turn))
    over = turn.book.dialogs[dialog].interlude
    turn.conclude(Asked(at=turn.at, topic=topic, over=over))
    if not silently:
        ask(turn)


def ask(turn: Turn) -> None:
    """Say the open question once more, or only the part of it that is missing; nothing when none is open."""
    talk = turn.state.talk
    if talk.topic == IDLE or (turn.state.hold and talk.dialog == watch.ONSET):
        return None
    turn.asks = True
    word = question(turn)
    return turn.reply(word.key, **word.values)


def question(turn: Turn) -> Word:
    """The open question in words, or the part of it that is missing."""
    part = turn.state.talk.part
    return Word(f"ask.{part}" if part else _question(turn).ask, ends.shown(turn))


def go_on(turn: Turn) -> None:
    """After a hold: today's session where it may be, the open question once more or the next one, or what is due."""
    ends.released(turn)
    due = ends.due(turn, done=False)
    if turn.state.talk.topic != IDLE:
        _follow(turn)
    elif due:
        begin(turn, due)


def _obey(turn: Turn, word: str) -> None:
    """Do what a word that is always understood says: an interlude begins, or it is done at once."""
    dialog = always.COMMANDS[word](turn)
    if dialog:
        return begin(turn, dialog)
    return ask(turn)


def _unasked(turn: Turn, word: str | None, text: str, *, remark: bool) -> None:
    """A message while no question is open: begin what is due, or say what can be done; a remark is kept."""
    open_case = turn.state.course not in ("enrolled", "closed") and turn.state.hold is None
    remark = remark and open_case and not _courtesy(turn, text)
    if remark:
        turn.conclude(Remarked(at=turn.at, words=text))
    due = ends.due(turn, done=word == "done")
    if due:
        return begin(turn, due)
    if remark and _scores(turn, text):
        return begin(turn, "pain")
    ends.nothing_due(turn, text)
    return turn.reply("remark.kept") if remark else None


def _set_aside(turn: Turn, text: str) -> None:
    """Keep words the open question could not use for the clinicians to read; a short answer gone wrong is none."""
    state, words = turn.state, [word for word in clean(text).text.split() if any(c.isalpha() for c in word)]
    story = len(words) > 1 and not isinstance(read(Kind.YES_NO, text, language(turn)), Reading)
    open_case = state.course not in ("enrolled", *ends.WAITS) and state.hold is None
    if story and open_case and state.talk.dialog not in WHOLE and not _courtesy(turn, text):
        turn.conclude(Remarked(at=turn.at, words=text))


def _courtesy(turn: Turn, text: str) -> bool:
    """Whether the words are thanks or the like, which nobody needs to read again."""
    return clean(text).text.strip(" .,!:;-)(") in turn.book.texts[turn.state.language].choices["remark"]["courtesy"]


def _scores(turn: Turn, text: str) -> bool:
    """Whether the words may tell a pain score after today's session: it is asked for and never taken from them."""
    session, told = turn.state.session, read(Kind.PAIN, text, language(turn))
    if turn.state.course in ends.WAITS or (session and session.open):
        return False
    return isinstance(told, Reading) and bool(told.value)


def _question(turn: Turn) -> Question:
    talk = turn.state.talk
    return turn.book.dialogs[talk.dialog].questions[talk.question]


def _answer(turn: Turn, text: str) -> None:
    parts, found = _read(turn, text)
    first = found.get(parts[0].slot)
    if isinstance(first, Unclear) and not any(isinstance(answer, Value) for answer in found.values()):
        _set_aside(turn, text)
        return _again(turn, parts[0], first)
    told = [(part, found[part.slot]) for part in parts if part.slot in found]
    _say_back(turn, [word for part, answer in told if isinstance(answer, Value) for word in _keep(turn, part, answer)])
    return None if watch.answers(turn) else _follow(turn)


def _beside(turn: Turn, text: str) -> bool:
    """Keep what answers the open question beside unsure words, up to the end of its dialog; whether anything did."""
    talk = turn.state.talk
    if talk.topic == IDLE or talk.dialog in WHOLE:
        return False
    parts, found = _read(turn, text)
    told = [(part, value) for part in parts if isinstance(value := found.get(part.slot), Value)]
    if not told:
        return False
    _say_back(turn, [word for part, value in told for word in _keep(turn, part, value)])
    if watch.answers(turn):
        return True
    if "pain_now" in turn.state.talk.told:
        ends.spoils(turn)
    _advance(turn)
    return True


def _edited(turn: Turn, text: str) -> bool:
    """The same for a message that replaces another: a correction of the last answer."""
    if turn.state.last_answer:
        begin(turn, "correct", silently=True)
    return _beside(turn, text)


def _open_parts(turn: Turn) -> list[Part]:
    """The parts still wanted: of this question, and of later ones where one line may answer several."""
    talk, dialog = turn.state.talk, turn.book.dialogs[turn.state.talk.dialog]
    if talk.dialog == "correct":
        return last_parts(turn)
    names = list(dialog.questions)
    later = names[names.index(talk.question) + 1 :] if dialog.several else []
    parts = [p for name in (talk.question, *later) for p in dialog.questions[name].parts]
    return [p for p in parts if p.slot not in talk.told]


def _read(turn: Turn, text: str) -> tuple[Sequence[Part], dict[str, Answer]]:
    """What the message answers of the parts still wanted; told a second time, the whole question counts anew."""
    parts, talk = _open_parts(turn), turn.state.talk
    if talk.dialog == "correct":
        return parts, _read_again(turn, parts, text)
    every = _question(turn).parts
    if len(every) > 1 and talk.told:
        whole = read_parts(turn, every, text)
        if all(isinstance(whole.get(part.slot), Value) for part in every):
            return every, whole
    return parts, read_parts(turn, parts, text)


def _read_again(turn: Turn, parts: list[Part], text: str) -> dict[str, Answer]:
    """A correction means the whole last line, or the one answer of it that it reads as, a number for a number first."""
    found = read_parts(turn, parts, text)
    if len(parts) == 1 or sum(isinstance(answer, Value) for answer in found.values()) > 1:
        return found
    number = text.strip().isdigit()
    for part in sorted(parts, key=lambda each: turn.state.answers[each.slot].words.strip().isdigit() != number):
        alone = read_parts(turn, [part], text)
        if isinstance(alone[part.slot], Value):
            return alone
    return found


def _say_back(turn: Turn, echoes: list[Word]) -> None:
    """All that was understood, on one line."""
    line = reduce(lambda first, then: Word("said.both", {"first": first, "then": then}), echoes)
    turn.reply(line.key, **line.values)


def _keep(turn: Turn, part: Part, answer: Value) -> list[Word]:
    """Record one answer; returns the words that say it back."""
    last, correcting = turn.state.last_answer, turn.state.talk.dialog == "correct"
    turn.conclude(
        Answered(
            at=turn.at,
            topic=last.topic if correcting and last else turn.state.talk.topic,
            slot=part.slot,
            value=answer.value,
            words=answer.words,
            day=turn.today,
            masked=answer.masked,
            rose=answer.rose,
            seconds=answer.seconds,
            corrects=correcting,
        )
    )
    echo = Word(f"echo.{part.slot}", {"value": answer.shown})
    return [echo, *[Word("echo.rose")] * answer.rose, *[Word("echo.masked")] * answer.masked]


def _advance(turn: Turn) -> bool:
    """Follow the arrows over every question that is answered; whether none is left in this dialog."""
    while not _missing(turn):
        topic = turn.state.talk.topic
        ends.question_done(turn, topic)
        following = _topics(turn.book).after(topic, guard(turn))
        if following.endswith(f".{END}"):
            return True
        several = turn.book.dialogs[turn.state.talk.dialog].several
        keep = tuple(turn.state.talk.told) if several else ()
        turn.conclude(Asked(at=turn.at, topic=following, keep=keep))
    return False


def _follow(turn: Turn) -> None:
    """Ask the first question of the dialog that is not answered, or end it."""
    if _advance(turn):
        return _finish(turn)
    missing = _missing(turn)
    if missing[0].slot != _question(turn).parts[0].slot:
        talk = turn.state.talk
        turn.conclude(Asked(at=turn.at, topic=talk.topic, part=missing[0].slot, keep=tuple(talk.told)))
    return ask(turn)


def _missing(turn: Turn) -> list[Part]:
    """The parts of the open question that nobody has told yet; optional ones are asked once, with the rest."""
    talk = turn.state.talk
    if talk.dialog == "correct":
        return []
    if _left_out(turn):
        return []
    parts = [p for p in _question(turn).parts if p.slot not in talk.told]
    return [] if talk.told and all(p.optional for p in parts) else parts


def _left_out(turn: Turn) -> bool:
    """Whether nothing of a line was done, so nothing is asked of it; after "0" runs the pain that ended it may be."""
    told, answers = turn.state.talk.told, turn.state.answers
    run = "run_reps" in told and no_run(turn, answers["run_reps"].words)
    return run or ("work_done" in told and answers["work_done"].value == report.NOTHING)


def _finish(turn: Turn) -> None:
    """A dialog is over: resume the topic beneath, do what follows, then answer what was kept waiting."""
    dialog, pending = turn.state.talk.dialog, turn.state.talk.pending
    turn.conclude(Resumed(at=turn.at))
    ends.dialog_done(turn, dialog)
    if dialog == watch.DOUBT and turn.state.shelved:
        turn.conclude(Settled(at=turn.at))
        return go_on(turn)
    if pending:
        return _understand(turn, pending)
    return _follow(turn) if dialog in (watch.DOUBT, "correct") and turn.state.talk.told else ask(turn)


def _again(turn: Turn, part: Part, answer: Unclear) -> None:
    """Not understood: ask again, kindly, with an example; from the second time on with the choices."""
    talk = turn.state.talk
    turn.conclude(
        Asked(
            at=turn.at,
            topic=talk.topic,
            tries=talk.tries + 1,
            part=talk.part,
            keep=tuple(talk.told),
            quote=talk.quote,
            pending=talk.pending,
        )
    )
    if watch.unanswered(turn):
        return None
    turn.reply(f"again.{answer.why}")
    table = choices(turn, part)
    if table and turn.state.talk.tries >= CHOICES_FROM:
        prefix = "equipment" if part.answer == "equipment" else f"choice.{part.slot}"
        turn.reply("again.choices", choices=tuple(Word(f"{prefix}.{key}") for key in table))
    else:
        turn.reply(f"example.{part.answer}")
    return ask(turn)
