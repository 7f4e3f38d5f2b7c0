"""Red flags in any message, whatever was asked: three nets that alert, ask or stay silent; none may silence another."""

from collections.abc import Sequence
from dataclasses import dataclass

from coachbot.core.reading.answers import yes_no
from coachbot.core.reading.commands import command
from coachbot.core.reading.doubt import Scores, doubtful
from coachbot.core.reading.gate import clean
from coachbot.core.reading.kinds import Reading
from coachbot.core.reading.language import Language
from coachbot.core.reading.lexicon import Lexicon
from coachbot.core.reading.pain import pain
from coachbot.core.reading.scope import Hit, Setting, marks
from coachbot.core.reading.spans import Words, words
from coachbot.core.reading.tokens import texts

# Scope words that did their work; the learned net must not stumble over the "no" of a plain denial.
SETTING = frozenset({"no", "no_all", "gone", "history", "imagined", "person", "through", "theirs"})
SCORE = 2  # numbers in a score at most ("9 out of 10"); more are repetitions
LONGEST = 40  # words of a plain answer at most; a longer message is a story
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
    firm: bool = False  # some doubt is about words of a flag: no plain answer settles it

    @property
    def verdict(self) -> str:
        """ "alert", "ask" or "none"."""
        return "alert" if self.alerts else "ask" if self.doubts else "none"


def flags(text: str, language: Language) -> FlagReading:
    """All flags in one message. Without a lexicon nothing is known to be harmless, so the coach asks."""
    cleaned = clean(text)
    if not cleaned.text:
        return FlagReading()
    if language.lexicon is None:
        return FlagReading(doubts=() if _plain_answer(cleaned.text, language) else (cleaned.text,))
    steps = range(0, max(1, len(cleaned.text) - OVERLAP), PIECE - OVERLAP)
    found = [_piece(cleaned.text[at : at + PIECE], language.lexicon, language) for at in steps]
    reading = found[0] if len(found) == 1 else _together(found)
    if cleaned.truncated:
        return FlagReading(reading.alerts, (*reading.doubts, "..."), reading.notes, reading.firm)
    if reading.doubts and not reading.firm and calm(cleaned.text, language, language.lexicon.strong):
        return FlagReading(reading.alerts, (), reading.notes)
    return reading


def _together(found: Sequence[FlagReading]) -> FlagReading:
    """The readings of the pieces of one message; what stands where they overlap counts once."""
    return FlagReading(
        _once([alert for reading in found for alert in reading.alerts]),
        tuple(dict.fromkeys(doubt for reading in found for doubt in reading.doubts)),
        tuple(dict.fromkeys(note for reading in found for note in reading.notes)),
        any(reading.firm for reading in found),
    )


def _once(alerts: Sequence[Found]) -> tuple[Found, ...]:
    """One alert a flag, with the longest words it was found in."""
    longest = {alert.flag: alert for alert in sorted(alerts, key=lambda alert: len(alert.words))}
    return tuple(longest[flag] for flag in dict.fromkeys(alert.flag for alert in alerts))


def _plain_answer(text: str, language: Language) -> bool:
    """What is no free text in any language: a number among answer words or one such word, a yes or no, a command."""
    said = texts(text)
    answer = _number(said, language) or (len(said) == 1 and said[0] in language.plain)
    return answer or isinstance(yes_no(text, language), Reading) or command(text, language) is not None


def calm(text: str, language: Language, strong: float) -> bool:
    """A plain answer, or no pain in answer words, whose score is no sign by itself."""
    if text.count(" ") >= LONGEST:
        return False
    said = texts(text)
    if len(said) > LONGEST or not all(word[0].isdigit() or word in language.plain for word in said):
        return False
    value = _score(text, language)
    if value is not None and value >= strong:
        return False
    return _plain_answer(text, language) or (value == 0 and language.plain.issuperset(said))


def _score(text: str, language: Language) -> float | None:
    """The pain that the text tells, if it tells one."""
    score = pain(text, language)
    return score.value if isinstance(score, Reading) and isinstance(score.value, float) else None


def _piece(text: str, lexicon: Lexicon, language: Language) -> FlagReading:
    said = words(text, lexicon)
    hits, harmless = _hits(said, lexicon)
    verdicts, aside = _judged(hits, said, lexicon)
    silent = harmless | aside
    scores = Scores(said, silent, lexicon)
    reading = _sorted(hits, verdicts, said, scores, lexicon)
    if reading.verdict == "none" and not _ordinary(text, said.fixed, language):
        return FlagReading((), tuple(doubtful(text, said, silent, scores, lexicon)), reading.notes)
    return reading


def _ordinary(text: str, said: Sequence[str], language: Language) -> bool:
    """A number among answer words that is no sign and tells no strong pain: what the net makes of it is no doubt."""
    if language.lexicon is None or not _number(said, language):
        return False
    return len(said) > LONGEST or (_score(text, language) or 0) < language.lexicon.strong


def numeric(text: str, language: Language) -> bool:
    """Whether a message is a number among nothing but words of the answer tables: "2 of 3, half range, pain 3"."""
    return _among(texts(clean(text).text), language)


def _among(said: Sequence[str], language: Language) -> bool:
    rest = [word for word in said if not word[0].isdigit()]
    return len(rest) < len(said) and language.plain.issuperset(rest)


def _number(said: Sequence[str], language: Language) -> bool:
    """A number among answer words is an answer and no doubt, unless the number itself is a sign."""
    return _among(said, language) and not (language.lexicon and _suspect(said, language.lexicon))


def _suspect(said: Sequence[str], lexicon: Lexicon) -> bool:
    """A high score ("9/10 walking"), or a higher one set against another day ("was a 1 yesterday, it's a 6 today")."""
    values = [float(word.replace(",", ".")) for word in said if word[0].isdecimal()]
    compared = not lexicon.small["compared"].isdisjoint(said)
    counted = len(values) > SCORE or not lexicon.small["counted"].isdisjoint(said)
    high = lexicon.jumped if compared else lexicon.strong
    return (compared or not counted) and any(high <= value <= lexicon.top for value in values)


def _judged(hits: Sequence[Hit], said: Words, lexicon: Lexicon) -> tuple[list[str], set[int]]:
    """The verdict of each hit, and the places of the words that a scope took back."""
    if not hits:
        return [], set()
    found = marks(said, lexicon)
    setting = Setting(said, found, hits, lexicon)
    verdicts = [setting.judge(hit) for hit in hits]
    taken = [h for h, verdict in zip(hits, verdicts, strict=True) if _hidden(verdict, h.flag in lexicon.emergencies)]
    aside = {at for hit in taken for at in range(hit.start, hit.end)}
    sentences = {said.sentence[hit.start] for hit in taken}
    for start, end, symbol in found:
        if symbol in SETTING and said.sentence[start] in sentences:
            aside.update(range(start, end))
    return verdicts, aside


def _hidden(verdict: str, emergency: bool) -> bool:
    """Whether the learned net no longer sees the words; of an emergency it sees all that is not plainly denied."""
    return verdict == "denied" or (verdict not in ("alert", "ask") and not emergency)


def _sorted(hits: Sequence[Hit], verdicts: Sequence[str], said: Words, scores: Scores, lexicon: Lexicon) -> FlagReading:
    """What alerts, asks, or is noted; words alert at once only if the learned net agrees."""
    alerts, doubts, notes, firm = [], [], [], False
    for hit, verdict in zip(hits, verdicts, strict=True):
        quote, emergency = said.quote(hit.start, hit.end), hit.flag in lexicon.emergencies
        bar = lexicon.agree_emergency if emergency else lexicon.agree
        # without a net there is none to disagree
        agreed = hit.sure or lexicon.net is None or scores[said.sentence[hit.start]] > bar
        if verdict == "alert" and hit.flag != "ask" and agreed:
            alerts.append(Found(hit.flag, quote))
        elif verdict in ("alert", "ask") or (hit.flag in lexicon.always_asked and verdict != "denied"):
            doubts.append(quote)
            firm = firm or hit.flag != "ask"
        else:
            notes.append((verdict, quote))
    return FlagReading(_once(alerts), tuple(dict.fromkeys(doubts)), tuple(dict.fromkeys(notes)), firm)


def scored(text: str, lexicon: Lexicon) -> Scores:
    """The learned score of each sentence of a cleaned text, as it decides between silence and a question."""
    said = words(text, lexicon)
    hits, harmless = _hits(said, lexicon)
    return Scores(said, harmless | _judged(hits, said, lexicon)[1], lexicon)


def residue(text: str, lexicon: Lexicon) -> tuple[list[str], list[str]]:
    """The words and tags that the learned net sees of a cleaned text; training uses the same."""
    said = words(text, lexicon)
    hits, harmless = _hits(said, lexicon)
    return said.left(0, len(said.fixed), harmless | _judged(hits, said, lexicon)[1], lexicon)


def _hits(said: Words, lexicon: Lexicon) -> tuple[list[Hit], set[int]]:
    """Patterns found, less those that overlap a harmless one; and the words of the harmless ones."""
    hits: list[Hit] = []
    harmless: set[int] = set()
    for pattern, start, end in lexicon.patterns.every(said.fixed, _stops(said)):
        if pattern.symbol == "harmless":
            harmless.update(range(start, end))
        else:
            hits.append(Hit(pattern.symbol, start, end, pattern.loose, pattern.sure))
    kept = [hit for hit in hits if not _harmless(hit, harmless)] if harmless else hits
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
    return [end for start, end in said.sentences() for _ in range(start, end)]
