"""What holds for a finding: denied, past, imagined, another person's, another part (ConText, Harkema 2009).

Every scope fails towards asking: only a scope that is plain and near takes a finding away.
"""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from coachbot.core.reading.lexicon import Lexicon
from coachbot.core.reading.spans import Words

Mark = tuple[int, int, str]  # start, end, symbol
REACH = 6  # words between a denial and what it denies (NegEx, Chapman 2001)
LIST = 12  # words in which a list must show its "or"
DENIALS = frozenset({"no", "no_all", "nay", "pseudo", "stop"})  # what a denial is made of, and what ends it
PARTS = frozenset({"part_silent", "part_ask"})  # other parts of the body
# May stand between a finding and "has gone".
CARRIED = frozenset({"through", "leg", "self", "current", "fact", "history"})


class Hit(NamedTuple):
    """A pattern found: the flag (or "ask"), and from which to which word."""

    flag: str
    start: int
    end: int
    loose: bool = False  # its pattern has a gap
    sure: bool = False  # its pattern is plain: neither "might" nor another part of the body weakens it


def marks(words: Words, lexicon: Lexicon) -> tuple[Mark, ...]:
    """Scope phrases in order, longest first; a phrase may carry several symbols."""
    found: list[Mark] = []
    free = 0  # the first word that no phrase covers yet
    for at, word in enumerate(words.fixed):
        if at < free or word not in lexicon.scopes.heads:
            continue
        here = lexicon.scopes.every(words.fixed, at)
        if here and words.together(at, at + here[0][0] - 1):
            free = at + here[0][0]
            for _, symbol in here:
                found.append((at, free, symbol))
    return tuple(found)


class Setting:
    """The scopes of one piece of text; built once, asked once for each finding."""

    def __init__(self, words: Words, found: Sequence[Mark], hits: Sequence[Hit], lexicon: Lexicon) -> None:
        self.words, self.found, self.grave, self.small = words, found, lexicon.emergencies, lexicon.small
        self.starts = [mark[0] for mark in found]
        self.denials = [mark for mark in found if mark[2] in DENIALS]
        self.denial_starts = [mark[0] for mark in self.denials]
        self.judged: dict[tuple[int, int, bool, bool], str] = {}
        self.taken: dict[int, str] = {}  # what takes back a hit that ends here
        self.covered = {at for hit in hits for at in range(hit.start, hit.end)}
        self.through = {at for m in found if m[2] == "through" for at in range(m[0], m[1])}
        self.symbols = {m[2] for m in found}
        self.by_sentence: defaultdict[int, set[str]] = defaultdict(set)
        self.by_clause: defaultdict[int, set[str]] = defaultdict(set)
        for start, _, symbol in found:
            self.by_sentence[words.sentence[start]].add(symbol)
            self.by_clause[words.clause[start]].add(symbol)

    def judge(self, hit: Hit) -> str:
        """ "alert", "ask", or the scope that takes the hit away: denied, gone, history, imagined, other."""
        # Hits of several patterns share their words, and so their judgement.
        place = (hit.start, hit.end, hit.sure, hit.flag in self.grave)
        if place not in self.judged:
            self.judged[place] = self._judge(hit)
        return self.judged[place]

    def _judge(self, hit: Hit) -> str:
        near = self.by_sentence.get(self.words.sentence[hit.start], set())
        if hit.end not in self.taken:
            self.taken[hit.end] = self._taken_back(hit, near)
        denial = self._denied(hit, near) or self.taken[hit.end]
        if denial:
            return "ask" if "reversed" in near else denial
        if "imagined" in near and "fact" not in near and self._imagined(hit):
            return "ask" if "fact" in self.symbols else "imagined"
        if "asking" in near and "self" not in near and not hit.sure and self._asked(hit):
            return "ask"
        if "history" in near and "current" not in near and not (hit.flag in self.grave and "theirs" not in near):
            return "history"
        return self._other_person(hit, near) or self._other_part(hit, near)

    def _imagined(self, hit: Hit) -> bool:
        """What is only imagined is said so before it or beside it: "calf is swollen, will it go down?" is a fact."""
        clause, last = self.words.clause, hit.end - 1
        marks = (start for start, _, symbol in self.found if symbol == "imagined" and self.words.together(start, last))
        return any(start <= hit.start or clause[start] == clause[last] for start in marks)

    def _asked(self, hit: Hit) -> bool:
        """The sentence opens as a question and says nothing of the writer: "why is a swollen calf urgent?"."""
        first = bisect_left(self.words.sentence, self.words.sentence[hit.start])
        opening = self.found[bisect_left(self.starts, first) : bisect_right(self.starts, first)]
        return any(symbol == "asking" for _, _, symbol in opening)

    def _other_person(self, hit: Hit, near: set[str]) -> str:
        """Another's, perhaps another's (then the coach asks), or "". Who writes on an athlete's phone tells of them."""
        if "relayed" in self.symbols or ("observer" in near and "theirs" not in near):
            return ""
        if "self" in near:
            return "ask" if self._subject(hit) else ""
        return "other" if "theirs" in near or "person" in self._clause(hit) else ""

    def _subject(self, hit: Hit) -> bool:
        """The clause opens with another person and says no "i" or "my" up to the finding: "my dad had ..."."""
        first = bisect_left(self.words.clause, self.words.clause[hit.start])
        told = [m for m in self.found[bisect_left(self.starts, first) :] if m[0] < hit.end]
        people = [start for start, _, symbol in told if symbol == "person" and start < hit.start]
        if not people or any(symbol == "self" for _, _, symbol in told):
            return False
        return self.small["opener"].issuperset(self.words.fixed[first : people[0]])

    def _other_part(self, hit: Hit, near: set[str]) -> str:
        """Sure words are about the leg; an emergency may be told of any part of the body."""
        parts = frozenset() if hit.sure or hit.flag in self.grave else PARTS & near
        if parts:
            here = self._clause(hit)
            parts = frozenset() if "leg" in here else PARTS & here
        if "part_silent" in parts:
            return "other"
        weak = "maybe" in near and not hit.sure
        return "ask" if parts or weak or "other_side" in near else "alert"

    def _clause(self, hit: Hit) -> set[str]:
        first, last = self.words.clause[hit.start], self.words.clause[hit.end - 1]
        if first == last:
            return self.by_clause.get(first, set())
        clauses = range(first, last + 1)
        return set().union(*(self.by_clause.get(clause, set()) for clause in clauses))

    def _before(self, hit: Hit) -> Iterator[Mark]:
        """Denials and their ends in the sentence that begin before the hit, nearest first; a stop may begin with it."""
        for at in range(bisect_right(self.denial_starts, hit.start) - 1, -1, -1):
            mark = self.denials[at]
            if not self.words.together(mark[0], hit.start) or hit.start - mark[1] > REACH + LIST:
                return
            if mark[0] < hit.start or mark[2] == "stop":
                yield mark

    def _denied(self, hit: Hit, near: set[str]) -> str:
        if "first_time" in near or near.isdisjoint(DENIALS):  # "never had this before"
            return ""
        for _, end, symbol in self._before(hit):
            if end > hit.start and hit.flag in self.grave:
                continue  # an emergency does not take itself back: "i dont want to live"
            if symbol in ("stop", "pseudo"):
                return ""
            if symbol == "no_all":
                return "denied"
            return self._reaches(min(end, hit.start), hit)
        return ""

    def _reaches(self, end: int, hit: Hit) -> str:
        """Whether a denial that ends at `end` covers the hit: plainly, perhaps, or not."""
        if self._broken(end, hit):
            return ""
        between = [at for at in range(end, hit.start) if at not in self.through and at not in self.covered]
        if not between:
            return "denied"
        return "ask" if len(between) <= 1 and hit.start - end <= REACH else ""

    def _broken(self, end: int, hit: Hit) -> bool:
        """A comma ends a denial, unless it is a list: "no numbness, tingling or swelling", "no pop/snap"."""
        words = self.words
        if words.clause[end - 1] == words.clause[hit.start]:
            return False
        if {words.breaks[at] for at in range(end, hit.start + 1)} <= {"", "/"}:
            return False
        first = bisect_left(words.clause, words.clause[hit.start])
        if any(at not in self.through and at not in self.covered for at in range(end, first)):
            return True
        return not self._listed(first, hit)

    def _listed(self, first: int, hit: Hit) -> bool:
        for at in range(first, min(len(self.words.fixed), hit.end + LIST)):
            if self.words.fixed[at] in self.small["or"]:
                return True
            if (at not in self.through and at not in self.covered) or not self.words.together(first, at):
                return False
        return False

    def _taken_back(self, hit: Hit, near: set[str]) -> str:
        """ "numbness has gone", "pop? no", "sharp pain: no"."""
        if self._answered_no(hit):
            return "denied"
        if "gone" not in near:
            return ""
        at = hit.end
        for start, end, symbol in self.found[bisect_left(self.starts, hit.end) :]:
            if not self.words.together(hit.start, start) or start - hit.end > REACH:
                break
            if not self.through.issuperset(range(at, start)):
                break
            if symbol == "gone":
                return "gone"
            if symbol not in CARRIED:
                break
            at = max(at, end)
        return ""

    def _answered_no(self, hit: Hit) -> bool:
        """A no that stands alone after the hit ("pop? no", "swelling no, bruising no") or opens its answer."""
        at, words = hit.end, self.words
        if at >= len(words.fixed) or words.breaks[at] not in ("?", ":", "-", ""):
            return False
        if words.breaks[at] == "?" and any(mark[0] == at and mark[2] == "nay" for mark in self.denials):
            return True
        if words.fixed[at] not in self.small["no"]:
            return False
        after = words.breaks[at + 1] if at + 1 < len(words.fixed) else words.closing or "."
        return after not in ("", "?")  # "swollen, no?" asks for a yes
