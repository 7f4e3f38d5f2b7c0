"""One line that answers several questions in the asked order; what is not clearly there stays unanswered."""

from collections.abc import Sequence
from datetime import date
from itertools import combinations

from coachbot.core.reading.gate import clean
from coachbot.core.reading.kinds import Kind, Reading, Unsure, Wanted
from coachbot.core.reading.language import Language
from coachbot.core.reading.reader import read

MOST_WORDS = 14  # a longer line is a story: only the asked question is read from it
Answers = dict[str, Reading | Unsure]


def read_line(text: str, wanted: Sequence[Wanted], language: Language, *, today: date | None = None) -> Answers:
    """Answers by the names in `wanted`; the first is always there, later ones only when clearly present."""
    first = wanted[0]
    whole = _one(text, first, language, today)
    labelled = _labelled(text, wanted, language)
    if labelled:
        return {first.name: whole} | labelled
    words = clean(text).text.replace(", ", " , ").replace(";", " , ").split()
    if 1 < len(words) <= MOST_WORDS:
        for count in range(min(len(wanted), len(words)), 1, -1):
            if found := _split(words, wanted[:count], language, today):
                return found
        if found := _pain_named(words, wanted, language, today):
            return found
    return {first.name: whole}


def _pain_named(words: Sequence[str], wanted: Sequence[Wanted], language: Language, today: date | None) -> Answers:
    """What is told before a pain that is named, and that pain, though not all between: "3x8 pain 2"; {} for neither."""
    found = ((at, language.tables["pain"].find(words, at)) for at in range(1, len(words)))
    pains = [at for at, phrase in found if phrase and (phrase[1] == "pain" or (phrase[1] == "zero" and phrase[0] > 1))]
    later = [place for place, want in enumerate(wanted) if place and want.kind is Kind.PAIN]
    if not pains or not later:
        return {}
    pain = _segment(words[pains[0] :], wanted[later[0]], later[0], language, today)
    told = read_line(" ".join(words[: pains[0]]).strip(" ,"), wanted[: later[0]], language, today=today)
    if isinstance(pain, Unsure) or isinstance(told[wanted[0].name], Unsure):
        return {}
    return told | {wanted[later[0]].name: pain}


def _one(text: str, want: Wanted, language: Language, today: date | None) -> Reading | Unsure:
    return read(want.kind, text, language, today=today, choices=want.choices, part=want.part)


def _labelled(text: str, wanted: Sequence[Wanted], language: Language) -> Answers:
    """Scores that name their part ("walking 1 run 3") go to the question about that part."""
    if all(want.part is None for want in wanted) or wanted[0].kind is Kind.NUMBER:  # "ran 3" is how many
        return {}
    every = read(Kind.PAIN, text, language)
    scores = dict(every.parts) if isinstance(every, Reading) else {}
    asked = [want for want in wanted if want.part in scores]
    return {want.name: _one(text, want, language, None) for want in asked}


def _split(words: Sequence[str], wanted: Sequence[Wanted], language: Language, today: date | None) -> Answers:
    """The only way to cut the words so that every question of `wanted` gets an answer; {} for none."""
    known: dict[tuple[int, int, int], Reading | Unsure] = {}
    phrases = language.tables["yes_no"]
    whole = {at + 1 for at in range(len(words)) if (found_at := phrases.find(words, at)) and found_at[0] > 1}
    places = [cut for cut in range(1, len(words)) if cut not in whole]  # "no better" is not "no" and "better"
    for cuts in combinations(places, len(wanted) - 1):
        edges = [0, *cuts, len(words)]
        found: Answers = {}
        for place, want in enumerate(wanted):
            key = (place, edges[place], edges[place + 1])
            if key not in known:
                known[key] = _segment(words[key[1] : key[2]], want, place, language, today)
            if isinstance(known[key], Unsure):
                break
            found[want.name] = known[key]
        if len(found) == len(wanted):
            return found
    return {}


def _segment(
    words: Sequence[str], want: Wanted, place: int, language: Language, today: date | None
) -> Reading | Unsure:
    text = " ".join(words).strip(" ,")
    figures_for_words = place and want.kind in (Kind.YES_NO, Kind.CHOICE) and text.isdecimal()
    if figures_for_words or not text:
        return Unsure(want.kind, "unclear", text)
    return _one(text, want, language, today)
