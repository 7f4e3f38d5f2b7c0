"""Red flags in any message, whatever was asked: three nets that alert, ask or stay silent; none may silence another."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from coachbot.core.reading.doubt import doubtful, learned
from coachbot.core.reading.gate import clean
from coachbot.core.reading.language import Language
from coachbot.core.reading.lexicon import Lexicon
from coachbot.core.reading.scope import Hit, Mark, Setting, marks
from coachbot.core.reading.spans import Words, words

# Scope words that did their work; the learned net must not stumble over the "no" of a plain denial.
SETTING = frozenset({"no", "no_all", "gone", "history", "imagined", "person", "through", "theirs"})
PIECE, OVERLAP = 4_096, 256  # characters: long texts are read in overlapping pieces


@dataclass(frozen=True, slots=True)
class Found:
    """One flag of the programme and the athlete's words it was found in."""

    flag: str
    words: str


@dataclass(frozen=True, slots=True)
class FlagReading:
    """What the words say: alerts, words to ask about in ONE closed question, and notes on what was set aside."""

    alerts: tuple[Found, ...] = ()
    doubts: tuple[str, ...] = ()
    notes: tuple[tuple[str, str], ...] = ()  # (denied | history | imagined | other, words)

    @property
    def verdict(self) -> str:
        """ "alert", "ask" or "none"."""
        return "alert" if self.alerts else "ask" if self.doubts else "none"


@dataclass(slots=True)
class _Sorted:
    alerts: list[Found] = field(default_factory=list)
    doubts: list[str] = field(default_factory=list)
    notes: list[tuple[str, str]] = field(default_factory=list)
    aside: set[int] = field(default_factory=set)  # places of the words that a scope took back


def flags(text: str, language: Language) -> FlagReading:
    """All flags in one message. Without a lexicon nothing is known to be harmless, so the coach asks."""
    cleaned = clean(text)
    if not cleaned.text:
        return FlagReading()
    if language.lexicon is None:
        return FlagReading(doubts=(cleaned.text,))
    steps = range(0, max(1, len(cleaned.text) - OVERLAP), PIECE - OVERLAP)
    found = [_piece(cleaned.text[at : at + PIECE], language.lexicon, language.plain) for at in steps]
    beyond = ("...",) if cleaned.truncated else ()
    return FlagReading(
        tuple(dict.fromkeys(alert for reading in found for alert in reading.alerts)),
        tuple(dict.fromkeys(doubt for reading in found for doubt in reading.doubts)) + beyond,
        tuple(dict.fromkeys(note for reading in found for note in reading.notes)),
    )


def _piece(text: str, lexicon: Lexicon, plain: frozenset[str]) -> FlagReading:
    said = words(text, lexicon)
    hits, harmless = _hits(said, lexicon)
    found = _sort(hits, said, marks(said, lexicon), lexicon)
    score = learned(said, harmless | found.aside, lexicon)
    weak = [] if score > lexicon.agree else [a for a in found.alerts if a.flag not in lexicon.never_silent]
    found.doubts.extend(alert.words for alert in weak)
    found.alerts = [alert for alert in found.alerts if alert not in weak]
    if not found.alerts and not found.doubts and not _answer(said, plain):
        found.doubts.extend(doubtful(said, harmless | found.aside, score, lexicon))
    return FlagReading(tuple(found.alerts), tuple(found.doubts), tuple(found.notes))


def _answer(said: Words, plain: frozenset[str]) -> bool:
    """A number among nothing but words of the answer tables ("2 of 3, half range, pain 3") is an answer, no doubt."""
    figures = [word[0].isdigit() for word in said.fixed]
    return any(figures) and all(figure or word in plain for figure, word in zip(figures, said.fixed, strict=True))


def _sort(hits: Sequence[Hit], said: Words, found: Sequence[Mark], lexicon: Lexicon) -> _Sorted:
    sorted_, setting = _Sorted(), Setting(said, found, hits)
    raised: set[str] = set()
    for hit in hits:
        if hit.flag in raised:  # once is enough
            continue
        verdict = setting.judge(hit)
        quote = said.quote(hit.start, hit.end)
        if verdict not in ("alert", "ask", "denied") and hit.flag in lexicon.never_silent:
            verdict = "ask"
        if verdict == "alert" and hit.flag != "ask":
            sorted_.alerts.append(Found(hit.flag, quote))
            raised.add(hit.flag)
        elif verdict in ("alert", "ask"):
            sorted_.doubts.append(quote)
        else:
            sorted_.notes.append((verdict, quote))
            sorted_.aside.update(range(hit.start, hit.end))
    taken = {said.sentence[at] for at in sorted_.aside}
    for start, end, symbol in found:
        if symbol in SETTING and said.sentence[start] in taken:
            sorted_.aside.update(range(start, end))
    return sorted_


def residue(text: str, lexicon: Lexicon) -> tuple[list[str], list[str]]:
    """The words and tags that the learned net sees of a cleaned text; training uses the same."""
    said = words(text, lexicon)
    hits, harmless = _hits(said, lexicon)
    aside = _sort(hits, said, marks(said, lexicon), lexicon).aside
    return said.left(harmless | aside, lexicon)


def _hits(said: Words, lexicon: Lexicon) -> tuple[list[Hit], set[int]]:
    """Patterns found, less those that overlap a harmless one; and the words of the harmless ones."""
    hits: list[Hit] = []
    harmless: set[int] = set()
    for pattern, start, end in lexicon.patterns.every(said.fixed, _stops(said)):
        if pattern.symbol == "harmless":
            harmless.update(range(start, end))
        else:
            hits.append(Hit(pattern.symbol, start, end, pattern.loose))
    kept = [hit for hit in hits if not _harmless(hit, harmless)]
    flagged = {at for hit in kept if hit.flag != "ask" for at in range(hit.start, hit.end)}
    # A question about words that a flag already covers adds nothing.
    return [h for h in kept if h.flag != "ask" or not flagged.issuperset(range(h.start, h.end))], harmless


def _harmless(hit: Hit, harmless: set[int]) -> bool:
    """Wholly inside harmless phrases; of a loose pattern the last word is enough ("got home and popped in")."""
    if hit.loose:
        return hit.end - 1 in harmless
    return harmless.issuperset(range(hit.start, hit.end))


def _stops(said: Words) -> list[int]:
    """For each word the end of its sentence: no pattern runs on into the next one."""
    stops = [len(said.fixed)] * len(said.fixed)
    for at in range(len(said.fixed) - 2, -1, -1):
        same = said.sentence[at] == said.sentence[at + 1]
        stops[at] = stops[at + 1] if same else at + 1
    return stops
