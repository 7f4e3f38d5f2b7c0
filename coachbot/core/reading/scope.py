"""What holds for a finding: denied, past, imagined, another person's, another part (ConText, Harkema 2009).

Every scope fails towards asking: only a scope that is plain and near takes a finding away.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from coachbot.core.reading.lexicon import Lexicon
from coachbot.core.reading.spans import Words

Mark = tuple[int, int, str]  # start, end, symbol
REACH = 5  # words a denial reaches forward (NegEx, Chapman 2001: up to six tokens)
NO = frozenset({"no", "nope", "none", "nah", "nada", "nil", "never", "zero", "negative", "nay"})
AFTER = 4  # words after the finding in which it may be taken back


@dataclass(frozen=True, slots=True)
class Hit:
    """A pattern found: the flag (or "ask"), and from which to which word."""

    flag: str
    start: int
    end: int
    loose: bool = False  # its pattern has a gap


def marks(words: Words, lexicon: Lexicon) -> tuple[Mark, ...]:
    """Scope phrases in order, longest first; a phrase may carry several symbols."""
    found: list[Mark] = []
    at = 0
    while at < len(words.fixed):
        here = [m for m in lexicon.scopes.every(words.fixed, at) if _one_sentence(words, at, m[0])]
        found.extend((at, at + length, symbol) for length, symbol in here)
        at += here[0][0] if here else 1
    return tuple(found)


def _one_sentence(words: Words, at: int, length: int) -> bool:
    return words.sentence[at] == words.sentence[at + length - 1]


def judge(hit: Hit, hits: Sequence[Hit], words: Words, found: Sequence[Mark]) -> str:
    """"alert", "ask", or the scope that takes the hit away: denied, gone, history, imagined, other."""
    near = _Near(hit, words, found)
    denial = _denied(hit, hits, words, near)
    if denial:
        return "ask" if near.has("reversed") else denial
    if near.has("imagined") and not near.has("fact"):
        return "ask" if any(mark[2] == "fact" for mark in found) else "imagined"
    if near.has("history") and not near.has("current"):
        return "history"
    if near.has("person") and not near.has("self") and not (near.has("observer") and not near.has("theirs")):
        return "other"
    return _other_part(near)


def _other_part(near: "_Near") -> str:
    if near.in_clause("part_silent") and not near.in_clause("leg"):
        return "other"
    if (near.in_clause("part_ask") and not near.in_clause("leg")) or near.has("other_side") or near.has("maybe"):
        return "ask"
    return "alert"


class _Near:
    """The scope marks in the sentence and in the clause of one hit."""

    def __init__(self, hit: Hit, words: Words, found: Sequence[Mark]) -> None:
        sentence, clauses = words.sentence[hit.start], words.clause[hit.start : hit.end]
        self.marks = [m for m in found if words.sentence[m[0]] == sentence]
        self.symbols = {m[2] for m in self.marks}
        self.clause = {m[2] for m in self.marks if clauses[0] <= words.clause[m[0]] <= clauses[-1]}

    def has(self, symbol: str) -> bool:
        return symbol in self.symbols

    def in_clause(self, symbol: str) -> bool:
        return symbol in self.clause

    def before(self, hit: Hit) -> Iterator[Mark]:
        return (m for m in reversed(self.marks) if m[0] < hit.start)

    def after(self, hit: Hit) -> Iterator[Mark]:
        return (m for m in self.marks if m[0] >= hit.end)


def _denied(hit: Hit, hits: Sequence[Hit], words: Words, near: _Near) -> str:
    covered = {at for other in hits for at in range(other.start, other.end)}
    through = {at for m in near.marks if m[2] == "through" for at in range(m[0], m[1])}
    for _, end, symbol in () if near.has("first_time") else near.before(hit):  # "never had this before"
        if symbol in ("stop", "pseudo"):
            break
        if symbol == "no_all":
            return "denied"
        if symbol != "no":
            continue
        end = min(end, hit.start)
        between = [at for at in range(end, hit.start) if at not in through and at not in covered]
        if _broken(end, hit, words, through | covered):
            break
        if not between:
            return "denied"
        return "ask" if len(between) <= 1 and hit.start - end <= REACH else ""
    return _taken_back(hit, words, near, through)


def _broken(end: int, hit: Hit, words: Words, plain: set[int]) -> bool:
    """A comma ends a denial, unless it is a list: "no numbness, tingling or swelling", "no pop/snap"."""
    if words.clause[end - 1] == words.clause[hit.start]:
        return False
    if {words.breaks[at] for at in range(end, hit.start + 1)} <= {"", "/"}:
        return False
    first = words.clause.index(words.clause[hit.start])
    if any(at not in plain for at in range(end, first)):
        return True
    for at in range(first, len(words.fixed)):
        if words.fixed[at] in ("or", "nor"):
            return False
        if at not in plain or words.sentence[at] != words.sentence[end - 1]:
            break
    return True


def _taken_back(hit: Hit, words: Words, near: _Near, through: set[int]) -> str:
    """ "numbness has gone", "pop? no", "sharp pain: no"."""
    if _answered_no(hit, words):
        return "denied"
    at = hit.end
    for start, end, symbol in near.after(hit):
        if any(i not in through for i in range(at, start)) or start - hit.end > AFTER + REACH:
            break
        if symbol == "gone":
            return "gone"
        if symbol not in ("through", "leg", "self", "current", "fact"):
            break
        at = max(at, end)
    return ""


def _answered_no(hit: Hit, words: Words) -> bool:
    """A no that stands alone after a question mark, a colon or a dash."""
    at = hit.end
    if at >= len(words.fixed) or words.breaks[at] not in ("?", ":", "-") or words.fixed[at] not in NO:
        return False
    return at + 1 == len(words.fixed) or words.breaks[at + 1] != ""
