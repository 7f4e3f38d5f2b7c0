"""The second and third net: unknown words about the body, and the learned score; they can only make the coach ask."""

from coachbot.core.reading.lexicon import Lexicon
from coachbot.core.reading.spans import Words

MOST_QUOTED = 6  # words quoted in the one closed question
BODY = frozenset({"leg", "thigh", "calf", "foot", "body", "pain", "wound", "private", "head"})
POINTERS = frozenset({"it", "thing", "one"})  # stand in a body class but name no part


def learned(said: Words, silent: set[int], lexicon: Lexicon) -> float:
    """The learned score of the words that no scope or harmless phrase took; far above the line without a net."""
    words, tags = said.left(silent, lexicon)
    if lexicon.net is None or all(word == "~" for word in words):
        return lexicon.line
    return lexicon.net.score(words, tags)


def doubtful(said: Words, silent: set[int], score: float, lexicon: Lexicon) -> list[str]:
    """Words to quote, or none: a word nobody listed in a clause about the body, or a score above the line."""
    quotes = _unknown(said, silent, lexicon)
    if not quotes and score > lexicon.line:
        quotes = [said.quote(0, min(len(said.fixed), MOST_QUOTED))]
    return quotes


def _unknown(said: Words, silent: set[int], lexicon: Lexicon) -> list[str]:
    tags = [lexicon.tag(word) for word in said.fixed]
    about = {said.clause[at] for at, tag in enumerate(tags) if tag in BODY and said.fixed[at] not in POINTERS}
    strange = [at for at, tag in enumerate(tags) if tag == "?" and at not in silent and said.clause[at] in about]
    return [said.quote(max(0, at - 2), at + 2) for at in strange][:1]
