"""Reads the values a question wants from the athlete's line; it stores nothing and asks nothing."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from coachbot.core.book import Part
from coachbot.core.effects import Word
from coachbot.core.events import Run, Scalar
from coachbot.core.reading import Kind, Reading, SetsReps, Unsure, Wanted, clean, read, read_line
from coachbot.core.reading.gate import LIMIT
from coachbot.core.reading.language import Language
from coachbot.core.rules import place, speed
from coachbot.core.turn import Turn

from . import picks, tongue

KINDS: dict[str, Kind] = {
    "pain": Kind.PAIN,
    "yes_no": Kind.YES_NO,
    "choice": Kind.CHOICE,
    "date": Kind.DATE,
    "text": Kind.TEXT,
    "pace": Kind.PACE,
    "run_reps": Kind.NUMBER,
    "sets_reps": Kind.SETS_REPS,
    "full_range": Kind.FULL_RANGE,
    "effort": Kind.NUMBER,
    "match_minutes": Kind.NUMBER,
    "duration": Kind.DURATION,
}
PARTS = {"walking": "walk", "work_pain": "exercise", "run_pain": "run"}
"""The part of a labelled score ("walking 1, run 3") that belongs to a slot."""


SCREENS = ("emergency", "urgent")
"""The questions of the intake that ask for signs; each has one slot of the same name. There a number is no answer."""
ANEW = "earlier"
"""Asked again, this is not answered by a bare no: words about an earlier injury may have come before it."""
FIGURES = re.compile(r"[\W\d]*\d[\W\d]*")
SCALE_TOP = 10
"""Effort is rated from 0 to 10 by definition of the scale."""


@dataclass(frozen=True)
class Value:
    """What was understood, the words it was read from and the words that say it back."""

    value: Scalar | tuple[str, ...]
    words: str
    shown: object
    masked: bool = False
    rose: bool = False
    seconds: float | None = None
    sets: SetsReps | None = None


@dataclass(frozen=True)
class Unclear:
    """Nothing is stored; `why` names the reason."""

    why: str


Answer = Value | Unclear


def language(turn: Turn) -> Language:
    """How this athlete's answers are read."""
    return turn.book.languages[turn.state.language]


def last_parts(turn: Turn) -> list[Part]:
    """What the last message answered: one part, or several of one line."""
    last = turn.state.last_answer
    assert last is not None, "a correction is only asked for when there is an answer"
    questions = turn.book.dialogs[last.topic.split(".")[0]].questions  # one line may have answered a later question
    told = {slot for slot, answer in turn.state.answers.items() if answer.at == last.at}
    return [p for question in questions.values() for p in question.parts if p.slot in told]


def read_parts(turn: Turn, parts: Sequence[Part], text: str) -> dict[str, Answer]:
    """The values one line gives, by slot. The first part always has an entry, later ones when clearly there."""
    first = parts[0]
    if first.answer == "text":
        return {first.slot: _verbatim(text)}
    if first.answer in _OWN or first.many:
        reader = _OWN.get(first.answer, _many)
        return {first.slot: reader(turn, first, clean(text).text)}
    if first.answer == "run_reps" and no_run(turn, text):
        return {first.slot: Value(0.0, clean(text).text, 0.0)}
    plain = [p for p in parts if p.answer in KINDS and not p.many]
    wanted = [_wanted(turn, part) for part in plain]
    found = read_line(text, wanted, language(turn), today=turn.today)
    if isinstance(found[first.slot], Unsure) and (sentence := _in_a_sentence(turn, first, text)):
        found = {first.slot: sentence}
    by_slot = {part.slot: part for part in plain}
    return {slot: _checked(turn, by_slot[slot], reading) for slot, reading in found.items()}


def _in_a_sentence(turn: Turn, part: Part, text: str) -> Reading | None:
    """A choice told in a sentence. Its words are only those that name it, so the rest is watched as any words are."""
    texts = turn.book.texts[turn.state.language].choices
    told = picks.told(clean(text).text, texts.get(f"{part.slot}_in_a_sentence", {}), texts["many"])
    return Reading(Kind.CHOICE, *told) if told else None


def _verbatim(text: str) -> Value:
    """The athlete's own words as they were written, without anything that a screen would obey."""
    words = "".join(c for c in " ".join(text[:LIMIT].split()) if c.isprintable())
    return Value(words, words, words)


def no_run(turn: Turn, text: str) -> bool:
    """Whether the words say that nothing was run, which answers the whole question."""
    known = turn.book.texts[turn.state.language].choices["run"]["none"]
    return clean(text).text.replace("'", "").strip(" .,!") in known


def _wanted(turn: Turn, part: Part) -> Wanted:
    return Wanted(part.slot, KINDS[part.answer], choices=choices(turn, part) or None, part=PARTS.get(part.slot))


def choices(turn: Turn, part: Part) -> dict[str, Sequence[str]]:
    """The words of each choice in the athlete's language."""
    named = turn.book.equipment if part.answer == "equipment" else part.choices
    words = turn.book.texts[turn.state.language].choices.get(part.slot, {})
    return {key: words.get(key, (key,)) for key in named}


def _checked(turn: Turn, part: Part, reading: Reading | Unsure) -> Answer:
    if isinstance(reading, Unsure):
        return Unclear(reading.why)
    value = reading.value
    if part.slot in SCREENS and FIGURES.fullmatch(reading.words):
        return Unclear("unclear")
    if part.slot == ANEW and turn.state.talk.tries and _is_no(turn, reading.words):
        return Unclear("not-a-choice")
    if isinstance(value, date):
        return _past_date(turn, value, reading.words)
    if isinstance(value, SetsReps):
        return Value(value.notation, reading.words, _sets(value), sets=value)
    if part.answer == "effort" and not 0 <= float(str(value)) <= SCALE_TOP:
        return Unclear("out-of-scale")
    if part.answer == "match_minutes" and float(str(value)) > turn.book.numbers["afterwards.play_4"].range[1]:
        return Unclear("out-of-scale")
    if part.answer == "pace":
        return _pace(turn, reading)
    if part.answer == "duration":
        return Value(float(str(value)) / 60, reading.words, float(str(value)) / 60)
    assert isinstance(value, bool | float | int | str), "weights and times of day are asked of nobody here"
    plain = value if isinstance(value, bool | str) else float(value)
    shown: object = Word(f"choice.{part.slot}.{plain}") if part.answer == "choice" else plain
    return Value(plain, reading.words, shown, masked=reading.masked, rose=reading.rise)


def _is_no(turn: Turn, words: str) -> bool:
    answer = read(Kind.YES_NO, words, language(turn))
    return isinstance(answer, Reading) and answer.value is False


def _pace(turn: Turn, reading: Reading) -> Answer:
    """The speed of a run in % of own top speed; a time over the fast zone becomes what it really was."""
    session = turn.state.session
    line = session.lines[session.left] if session and session.left is not None else None
    told = float(str(reading.value))
    if reading.kind is not Kind.SPRINT_TIME or not isinstance(line, Run):
        slip = told < turn.book.stages[0].first.range[0]
        return Unclear("odd-speed") if slip else Value(told, reading.words, told)
    share = speed.really(turn, line, told)
    if share is None:
        return Unclear("no-top-speed")
    percent = speed.counted(turn, line, share.value)
    if not speed.likely(turn, percent):
        return Unclear("odd-speed")
    shown = Word("line.timed", {"percent": round(share.value), "low": round(share.low), "high": round(share.high)})
    return Value(min(percent, speed.PERCENT), reading.words, shown, seconds=told)


def _sets(told: SetsReps) -> object:
    if told.everything or told.nothing:
        return Word("sets.all" if told.everything else "sets.none")
    plain: object = replace(told, each_side=False, weight=None).notation
    done = Word("sets.each_side", {"done": plain}) if told.each_side else plain
    return Word("sets.weight", {"done": done, "kg": told.weight}) if told.weight else done


def _past_date(turn: Turn, day: date, words: str) -> Answer:
    longest = turn.value(turn.book.programme.course.oldest_injury)
    if day > turn.today:
        return Unclear("in-the-future")
    if (turn.today - day).days > longest:
        return Unclear("too-long-ago")
    return Value(day.isoformat(), words, day)


def _many(turn: Turn, part: Part, text: str) -> Answer:
    """Several choices in one line: "mon wed fri", "sliders and a bench", "everything but weights", "none"."""
    table = choices(turn, part)
    every = turn.book.texts[turn.state.language].choices["many"]
    line = " ".join("".join(" " if c in ",;/.&+" else c for c in text).split())
    if line in every["whole"]:
        return _several(part, tuple(key for key in table if key != picks.NONE), text)
    named = picks.picked(text, table, every)
    if named is None:
        return Unclear("unclear")
    chosen = tuple(key for key in table if key in named and key != picks.NONE)
    if chosen and picks.NONE not in named:
        return _several(part, chosen, text)
    nothing = not chosen and (picks.NONE in named or line in every["nothing"])
    return Value((), text, Word("choice.many.nothing")) if nothing else Unclear("unclear")


def _several(part: Part, keys: tuple[str, ...], text: str) -> Value:
    prefix = "equipment" if part.answer == "equipment" else f"choice.{part.slot}"
    return Value(keys, text, tuple(Word(f"{prefix}.{key}") for key in keys))


def _zone(turn: Turn, part: Part, text: str) -> Answer:
    zone = place.zone(text, turn.book)
    return Value(zone, text, zone) if zone else Unclear("no-zone")


def _top_speed(turn: Turn, part: Part, text: str) -> Answer:
    """Metres a second, kilometres or miles an hour, or "no"; nobody is asked to measure one now."""
    answer = read(Kind.YES_NO, text, language(turn))
    unknown = turn.book.texts[turn.state.language].choices["top_speed"]["unknown"]
    if (isinstance(answer, Reading) and answer.value is False) or any(word in text for word in unknown):
        return Value("unknown", text, Word("choice.top_speed.unknown"))
    number = read(Kind.NUMBER, text.split("km")[0].split("m/s")[0].split("mph")[0].strip(), language(turn))
    unit = next((u for u in ("km", "mph", "m/s") if u in text), None)
    if not isinstance(number, Reading) or unit is None:
        return Unclear("no-speed")
    metres = float(str(number.value)) * {"km": 1 / 3.6, "mph": 0.44704, "m/s": 1.0}[unit]
    if not turn.book.programme.running.top_speed.allows(metres):
        return Unclear("odd-speed")
    return Value(round(metres, 2), text, round(metres, 2))


def _language(turn: Turn, part: Part, text: str) -> Answer:
    """One of the languages offered: by its own name, or by its number in the list."""
    code = tongue.picked(text, turn.book)
    return Value(code, text, tongue.name(code, turn.book)) if code else Unclear("unclear")


_OWN: dict[str, Callable[[Turn, Part, str], Answer]] = {
    "zone": _zone,
    "language": _language,
    "top_speed": _top_speed,
    "equipment": _many,
}
