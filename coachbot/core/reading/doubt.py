"""The second and third net: unknown words about the body, and learned scores; they can only make the coach ask."""

from coachbot.core.reading.lexicon import Lexicon
from coachbot.core.reading.spans import Words

MOST_QUOTED = 6  # words quoted in the one closed question
NEAR = 2  # words between which an unlisted word is about a part of the body
BODY = frozenset({"leg", "thigh", "calf", "foot", "body", "pain", "wound", "private", "head"})
Scores = dict[int, float]


def learned(said: Words, silent: set[int], lexicon: Lexicon) -> Scores:
    """The learned score of each sentence, without the words that a scope or a harmless phrase took."""
    spans = said.sentences()
    return {said.sentence[start]: _score(said, start, end, silent, lexicon) for start, end in spans}


def _score(said: Words, start: int, end: int, silent: set[int], lexicon: Lexicon) -> float:
    words, tags = said.left(start, end, silent, lexicon)
    if lexicon.net is None or all(word == "~" for word in words):
        return lexicon.line
    return lexicon.net.score(words, tags)


def doubtful(text: str, said: Words, silent: set[int], scores: Scores, lexicon: Lexicon) -> list[str]:
    """Words to quote, or none: an unlisted word beside a part of the body, or a sentence scored above the line."""
    return _unknown(said, silent, lexicon) or _suspected(text, said, scores, lexicon)


def _suspected(text: str, said: Words, scores: Scores, lexicon: Lexicon) -> list[str]:
    """The first sentence above the line. With what the text means added, the sum has a line of its own."""
    line = lexicon.line
    if lexicon.sense is not None:
        line = lexicon.line_meaning - lexicon.weight_meaning * lexicon.sense(text)
    for start, end in said.sentences():
        score = scores[said.sentence[start]]
        if score > line and score != lexicon.line:  # of a sentence that scopes took wholly nothing is left to suspect
            return [said.quote(start, min(end, start + MOST_QUOTED))]
    return []


def _unknown(said: Words, silent: set[int], lexicon: Lexicon) -> list[str]:
    tags = [lexicon.tag(word) for word in said.fixed]
    parts = [at for at, tag in enumerate(tags) if tag in BODY and said.fixed[at] not in lexicon.small["pointer"]]
    strange = (at for at, tag in enumerate(tags) if tag == "?" and at not in silent)
    beside = (at for at in strange if any(abs(at - part) <= NEAR and said.together(at, part) for part in parts))
    return [said.quote(max(0, at - NEAR), at + NEAR) for at in beside][:1]
