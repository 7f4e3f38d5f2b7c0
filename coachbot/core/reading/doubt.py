"""The second and third net: unknown words about the body, and the learned score; they can only make the coach ask."""

from coachbot.core.reading.lexicon import Lexicon
from coachbot.core.reading.spans import Words

MOST_QUOTED = 6  # words quoted in the one closed question
BODY = frozenset({"leg", "thigh", "calf", "foot", "body", "pain", "felt", "wound", "private", "head"})


def doubtful(said: Words, harmless: set[int], aside: set[int], lexicon: Lexicon) -> list[str]:
    """Words to quote, or none: a word nobody listed in a clause about the body, or a score above the line."""
    quotes = _unknown(said, harmless | aside, lexicon)
    if not quotes and lexicon.net is not None:
        words, tags = said.left(harmless | aside, lexicon)
        if words and lexicon.net.score(words, tags) > lexicon.line:
            quotes = [said.quote(0, min(len(said.fixed), MOST_QUOTED))]
    return quotes


def _unknown(said: Words, silent: set[int], lexicon: Lexicon) -> list[str]:
    tags = [lexicon.tag(word) for word in said.fixed]
    about = {said.clause[at] for at, tag in enumerate(tags) if tag in BODY and said.fixed[at] not in ("it", "thing")}
    strange = [at for at, tag in enumerate(tags) if tag == "?" and at not in silent and said.clause[at] in about]
    return [said.quote(max(0, at - 2), at + 2) for at in strange][:1]
