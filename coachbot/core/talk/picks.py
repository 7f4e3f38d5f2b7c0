"""Which choices a line names and which it leaves out ("mon to fri but not wed"); what is not clear is never guessed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import takewhile

Table = Mapping[str, Sequence[str]]
Names = frozenset[str]
NONE = "none"
OUT = ("without", "except")
COMMA = ","
MARKS = str.maketrans({**dict.fromkeys(",;/.&+!", f" {COMMA} "), "'": "", "’": ""})


@dataclass(frozen=True)
class Phrase:
    """One phrase of a line: its words, the choices they name, and what they do to the next (``without``, ``to``...)."""

    names: Names = frozenset()
    kind: str = ""
    said: str = ""


def phrases(text: str, table: Table, kinds: Table) -> list[Phrase]:
    """The longest known phrase at each place of the line; a word that is not known says nothing."""
    known: dict[str, Phrase] = {said: Phrase(kind=kind, said=said) for kind in kinds for said in kinds[kind]}
    for key, every in table.items():
        for said in every:
            before = known.get(said, Phrase())
            known[said] = Phrase(before.names | {key}, before.kind, said)
    longest = max((len(said.split()) for said in known), default=1)
    words, found, at = text.translate(MARKS).split(), [], 0
    while at < len(words):
        spans = ((n, " ".join(words[at : at + n])) for n in range(longest, 0, -1))
        length, said = next(((n, said) for n, said in spans if said in known), (1, words[at]))
        found.append(Phrase(kind=COMMA) if said == COMMA else known.get(said, Phrase()))
        at += length
    return found


def picked(text: str, table: Table, kinds: Table) -> set[str] | None:
    """The choices named and not left out; None when the words may mean one thing or another."""
    whole = (*kinds["all"], *kinds["all_but"])
    every = {key: [*said, *(whole if key != NONE else ())] for key, said in table.items()}
    marks = {kind: kinds[kind] for kind in (*OUT, "off", "to", "and", "small")}
    marks["except"] = (*marks["except"], *kinds["all_but"])
    line = [phrase for phrase in phrases(text, every, marks) if phrase.kind != "small"]
    named: set[str] = set()
    left_out: set[str] = set()
    at = 0
    while at < len(line):
        phrase, after = line[at], line[at + 1 :]
        listed, length = _listed(after) if phrase.kind in OUT else ([], 0)
        if not listed or phrase.kind == "except":
            named |= phrase.names
        gone = _gone(phrase.kind, listed, named, after[:length])
        span = _span(list(table), line[at - 1 : at + 2]) if at and after and phrase.kind == "to" else frozenset()
        if gone is None or span is None or phrase.kind == "off":
            return None
        left_out |= gone
        named |= span.union(*listed) - gone
        at += 1 + length
    return named - left_out


def _listed(after: Sequence[Phrase]) -> tuple[list[Names], int]:
    """The names that follow "not" or "except" at once, one beside the other, and how many phrases they take."""
    more = len(list(takewhile(lambda phrase: phrase.kind in OUT and not phrase.names - {NONE}, after)))
    rest = list(takewhile(lambda phrase: phrase.kind in (COMMA, "and") or phrase.names, after[more:]))
    rest = list(takewhile(lambda phrase: phrase.kind not in OUT, rest))
    if not rest or not rest[0].names:
        return [], 0
    return [phrase.names for phrase in rest if phrase.names], more + len(rest)


def _gone(kind: str, listed: Sequence[Names], named: set[str], said: Sequence[Phrase]) -> Names | None:
    """Which of the names listed are left out: all that were named before, else only the first; None if not clear."""
    every = frozenset[str]().union(*listed)
    if not listed[1:] or every <= named:
        return every
    joined = any(phrase.kind == "and" for phrase in said)
    return None if joined or kind == "except" else listed[0]


def _span(order: Sequence[str], around: Sequence[Phrase]) -> Names | None:
    """All choices from the one named before "to" to the one after it; None when they do not run that way."""
    ends = [order.index(min(phrase.names)) for phrase in (around[0], around[-1]) if len(phrase.names) == 1]
    return (frozenset(order[ends[0] : ends[1] + 1]) or None) if ends[1:] else frozenset()


def told(text: str, table: Table, kinds: Table) -> tuple[str, str] | None:
    """The one choice a sentence can mean and the words that say so; None for none, for several, beside a "not"."""
    line = phrases(text, table, {"without": kinds["without"]})
    naming = [phrase for phrase in line if phrase.names]
    if not naming or any(phrase.kind and not phrase.names for phrase in line if phrase.kind != COMMA):
        return None
    left = frozenset.intersection(*(phrase.names for phrase in naming))
    return (next(iter(left)), " ".join(phrase.said for phrase in naming)) if len(left) == 1 else None
