"""Sets and repetitions from the sketch of a message; unclear or odd counts are asked again."""

import re
from collections.abc import Callable, Sequence

from coachbot.core.reading.kinds import Kind, Reading, SetsReps, Unsure
from coachbot.core.reading.language import Language
from coachbot.core.reading.sketch import sketch

MOST_SETS, MOST_REPS, LONGEST_HOLD = 12, 99, 600  # beyond these it is a slip of the finger
_COMMAS = re.compile(r"(?<=\d),(?=\d)")
_KG = r"(?: (?:at )?(\d+(?:\.\d+)?) kg)?"
_EACH = r"( each)?"


def _same(match: re.Match[str]) -> SetsReps:
    sets, reps = int(match[1]), int(match[2])
    weight = float(match[4]) if match[4] else None
    return SetsReps(reps=(reps,) * sets, sets=sets, each_side=bool(match[3]), weight=weight)


def _turned(match: re.Match[str]) -> SetsReps:
    sets = int(match[2])
    return SetsReps(reps=(int(match[1]),) * sets, sets=sets)


def _listed(match: re.Match[str]) -> SetsReps:
    reps = tuple(map(int, re.findall(r"\d+", match[0])))
    return SetsReps(reps=reps, sets=len(reps), each_side="each" in match[0])


def _blocks(match: re.Match[str]) -> SetsReps:
    pairs = [(int(sets), int(reps)) for sets, reps in re.findall(r"(\d+) (?:set )?x (\d+)", match[0])]
    reps = tuple(count for sets, count in pairs for _ in range(min(sets, MOST_SETS + 1)))
    return SetsReps(reps=reps, sets=len(reps))


_FORMS: Sequence[tuple[str, Callable[[re.Match[str]], SetsReps]]] = [
    (r"all", lambda m: SetsReps(everything=True)),
    (r"none", lambda m: SetsReps(nothing=True)),
    (rf"(\d+) (?:set )?x (\d+)(?: rep)?{_EACH}{_KG}", _same),
    (rf"(\d+) set (?:x |outof )?(\d+)(?: rep)?{_EACH}{_KG}", _same),
    (r"(\d+) rep x (\d+) set", _turned),
    (r"(\d+) (?:set )?x (\d+) second", lambda m: SetsReps(sets=int(m[1]), hold=int(m[2]))),
    (r"(\d+) set (?:x |outof )?(\d+) second", lambda m: SetsReps(sets=int(m[1]), hold=int(m[2]))),
    (r"(?:only )?(\d+) outof (\d+)(?: set)?", lambda m: SetsReps(sets=int(m[1]), planned=int(m[2]))),
    (r"(?:only )*(\d+) set", lambda m: SetsReps(sets=int(m[1]))),
    (r"(?:only )*(\d+) rep", lambda m: SetsReps(reps=(int(m[1]),))),
    (r"only (?:only )*(\d+)", lambda m: SetsReps(reps=(int(m[1]),))),
    (r"(?:left )(\d+)(?: rep)?(?: then)? right (\d+)(?: rep)?", lambda m: SetsReps(left=int(m[1]), right=int(m[2]))),
    (r"(\d+)(?: rep)? left(?: then)? (\d+)(?: rep)? right", lambda m: SetsReps(left=int(m[1]), right=int(m[2]))),
    (r"(?:right )(\d+)(?: rep)?(?: then)? left (\d+)(?: rep)?", lambda m: SetsReps(left=int(m[2]), right=int(m[1]))),
    (r"(?:only )*(\d+)(?: rep)? each", lambda m: SetsReps(reps=(int(m[1]),), each_side=True)),
    (r"(?:only )?\d+(?: then \d+)+(?: each)?", _listed),
    (r"\d+ (?:set )?x \d+(?: (?:then )?\d+ (?:set )?x \d+)+", _blocks),
]
_COMPILED = tuple((re.compile(pattern), build) for pattern, build in _FORMS)


def sets_reps(text: str, language: Language) -> Reading | Unsure:
    """Sets and reps as told; a bare small number could be either and is asked again."""
    line = sketch(_COMMAS.sub(", ", text), language, "sets")
    for pattern, build in _COMPILED:
        if match := pattern.fullmatch(line):
            return _checked(build(match), text)
    return Unsure(Kind.SETS_REPS, "unclear", text)


def _checked(value: SetsReps, text: str) -> Reading | Unsure:
    if value.planned is not None and (value.sets or 0) > value.planned:
        return Unsure(Kind.SETS_REPS, "unclear", text)
    reps = [*value.reps, value.left or 0, value.right or 0]
    sets_fit = 0 <= (value.sets or 0) <= MOST_SETS and (value.sets is None or value.sets > 0 or not value.reps)
    fits = sets_fit and max(reps) <= MOST_REPS and (value.hold or 0) <= LONGEST_HOLD
    return Reading(Kind.SETS_REPS, value, text) if fits else Unsure(Kind.SETS_REPS, "out-of-scale", text)
