"""What the coach would do if the athlete said something: the real step on a copy of the case; nothing is stored."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from coachbot.core.book import Handbook, Part
from coachbot.core.days import instant, local_day
from coachbot.core.effects import ATHLETE, Say, Word
from coachbot.core.events import Alerted, Arrival, Heard, Run, Ticked
from coachbot.core.reading import Kind, Language, Reading, flags, read
from coachbot.core.state import State, fold
from coachbot.core.step import Step, next_wake, step

from .grammar import Order, Rest

_SIGNS = re.compile(r"[,;](?!\d)")
MOST = 60
"""A conversation that is longer than this many messages is not thought through further."""


@dataclass(frozen=True)
class Wish:
    """What is supposed: the morning's score, what was done of the session, the worst pain in it, other words."""

    tomorrow: bool = False
    walking: str = ""
    done: str = ""
    pain: str = ""
    said: tuple[str, ...] = ()


@dataclass
class Scene:
    """A copy of the case that moves in time: what arrives and what follows from it."""

    state: State
    book: Handbook
    at: datetime
    arrived: list[Arrival] = field(default_factory=list)
    steps: list[Step] = field(default_factory=list)

    @property
    def language(self) -> Language:
        """How this athlete's answers are read."""
        return self.book.languages[self.state.language]

    def take(self, arrival: Arrival) -> None:
        """One arrival, with all that follows."""
        done = step(self.state, arrival, self.book)
        self.state = fold(done.facts, self.state)
        self.arrived.append(arrival)
        self.steps.append(done)

    def say(self, words: str) -> None:
        """The athlete writes."""
        self.take(Heard(at=self.at, text=words))

    def until(self, at: datetime) -> None:
        """Time passes, and the clock speaks of what becomes due."""
        while (due := next_wake(self.state, self.book)) is not None and due <= at and len(self.arrived) < MOST:
            self.at = max(self.at, due)
            self.take(Ticked(at=self.at))
        self.at = at


def imagine(state: State, wish: Wish, book: Handbook, at: datetime) -> Scene:
    """The case as it would be: today's report first, then tomorrow's morning, then the words."""
    scene = Scene(state, book, at)
    report_now = wish.done and scene.state.session and scene.state.session.open
    if report_now:
        _report(scene, wish)
    if wish.tomorrow:
        day = local_day(at, state.zone) + timedelta(days=1)
        hour = book.programme.course.checkin_hour
        scene.until(instant(day, state.limits.get(hour.key, hour.value), state.zone))
    if wish.walking:
        _morning(scene, wish)
    if wish.done and not report_now and scene.state.session and scene.state.session.open:
        _report(scene, wish)
    for words in wish.said:
        scene.say(words)
    return scene


def _morning(scene: Scene, wish: Wish) -> None:
    if scene.state.talk.dialog != "morning":
        scene.say(_spoken(scene, "commands", "hello"))
    _converse(scene, wish, "morning")


def _report(scene: Scene, wish: Wish) -> None:
    scene.say(_spoken(scene, "commands", "done"))
    _converse(scene, wish, "report")


def _spoken(scene: Scene, table: str, meaning: str) -> str:
    """The shortest words of the athlete's language with this meaning."""
    listed = scene.language.tables[table].listed()
    phrases = [" ".join(phrase) for phrase, symbol in listed if symbol == meaning]
    return min(phrases, key=len)


def _converse(scene: Scene, wish: Wish, dialog: str) -> None:
    """Answer each question of the dialog as supposed; what was not supposed is answered as on an easy day."""
    while scene.state.talk.dialog == dialog and len(scene.arrived) < MOST:
        topic, tries = scene.state.talk.topic, scene.state.talk.tries
        question = scene.book.dialogs[dialog].questions[scene.state.talk.question]
        open_parts = [p for p in question.parts if p.slot not in scene.state.talk.told]
        scene.say(", ".join(_answer(scene, wish, part) for part in open_parts))
        if (scene.state.talk.topic, scene.state.talk.tries) == (topic, tries + 1):
            return


def _answer(scene: Scene, wish: Wish, part: Part) -> str:
    session = scene.state.session
    line = session.lines[session.left] if session and session.left is not None else None
    match part.slot:
        case "walking":
            return wish.walking
        case "run_reps":
            return f"{line.repetitions}" if isinstance(line, Run) else "0"
        case "run_top":
            return f"{line.percent:g} %" if isinstance(line, Run) else "0 %"
        case "work_done":
            return wish.done
        case "run_pain" | "work_pain":
            return wish.pain or "0"
        case "work_range":
            return _spoken(scene, "range", "yes")
        case "response":
            return scene.book.texts[scene.state.language].choices["response"]["settled"][0]
        case "effort":
            return "5"
        case "minutes":
            return f"40 {_spoken(scene, 'duration', 'minute')}"
        case _:
            return _spoken(scene, "yes_no", "no")


# ---- reading what is supposed ------------------------------------------------------------------------------------


def wished(order: Order, state: State, book: Handbook) -> Wish:
    """What the line supposes; anything that is no score and no sets is taken as words the athlete writes."""
    wish = Wish()
    for segment in _segments(order.rest):
        wish = _with(wish, segment, order.rest, state, book)
    return wish


def _segments(rest: Rest) -> Iterator[str]:
    """The line in parts: at commas, semicolons, "and" and "then"."""
    text, start = rest.line, rest.pieces[0].start if rest.pieces else len(rest.line)
    for piece in rest.pieces:
        if piece.text in (*rest.words["and"], *rest.words["then"]):
            yield from _SIGNS.split(text[start : piece.start])
            start = piece.end
    yield from _SIGNS.split(text[start:])


def _with(wish: Wish, segment: str, rest: Rest, state: State, book: Handbook) -> Wish:
    part = Rest.of(segment.strip(" .?"), rest.words)
    wish = replace(wish, tomorrow=wish.tomorrow or part.where(rest.words["tomorrow"]) is not None)
    words = _without(part, (*rest.words["tomorrow"], *rest.words["today"]))
    language = book.languages[state.language]
    if not words:
        return wish
    if flags(words, language).verdict != "none":
        return replace(wish, said=(*wish.said, segment.strip()))
    pain, sets = read(Kind.PAIN, words, language), read(Kind.SETS_REPS, words, language)
    if isinstance(pain, Reading):
        score = f"{pain.value:g}" if isinstance(pain.value, float | int) else words
        training = part.where(rest.words["in_training"]) is not None
        return replace(wish, pain=score) if training else replace(wish, walking=score)
    if isinstance(sets, Reading):
        return replace(wish, done=words)
    counted = _without(part, (*rest.words["done"], *rest.words["tomorrow"]))
    if isinstance(read(Kind.SETS_REPS, counted, language), Reading):
        return replace(wish, done=counted)
    return replace(wish, said=(*wish.said, segment.strip()))


def _without(part: Rest, days: Sequence[str]) -> str:
    """The part as it was written, the words that name the day left out."""
    kept = part.line
    for piece in reversed(part.pieces):
        if piece.text in days:
            kept = kept[: piece.start] + kept[piece.end :]
    return " ".join(kept.split())


# ---- what is shown -----------------------------------------------------------------------------------------------


def told(state: State, order: Order, book: Handbook, at: datetime) -> tuple[Word, ...]:
    """What the athlete would be told last, the alerts that would go out, and what was supposed beside the words."""
    wish = wished(order, state, book)
    if wish == Wish():
        return (Word("desk.what_if_how", {"name": state.name}),)
    scene = imagine(state, wish, book, at)
    heard = tuple(Word("case.quote", {"words": a.text}) for a in scene.arrived if isinstance(a, Heard))
    head = Word("desk.what_if", {"name": state.name, "said": heard})
    return (head, *_last(scene), *_alarms(state, scene), Word("desk.what_if_end"))


def _last(scene: Scene) -> tuple[Word, ...]:
    """The last thing said to the athlete."""
    said = [e for done in scene.steps for e in done.effects if isinstance(e, Say) and e.to == ATHLETE]
    return said[-1].lines if said else ()


def _alarms(state: State, scene: Scene) -> Iterator[Word]:
    """One line for each alert that would be new, to whoever gets it first, and one for all that would be repeated."""
    given = [fact for done in scene.steps for fact in done.facts if isinstance(fact, Alerted)]
    held = state.hold is None and scene.state.hold is not None
    for sent in given:
        if sent.alert not in state.alerts and sent.attempt == 1:
            tier, flag = Word(f"tier.{sent.tier}"), Word(f"flag.{sent.flag}")
            values = {"to": sent.to, "tier": tier, "flag": flag, "words": sent.words}
            yield Word("desk.what_if_held" if held else "desk.what_if_alert", values)
    if any(sent.alert in state.alerts for sent in given):
        yield Word("desk.what_if_again")
