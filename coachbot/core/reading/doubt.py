"""The second and third net: unknown words about the body, and learned scores; they can only make the coach ask."""

from coachbot.core.reading.lexicon import Lexicon
from coachbot.core.reading.spans import Words

MOST_QUOTED = 6  # words quoted in the one closed question
NEAR = 2  # words between which an unlisted word is about a part of the body
BODY = frozenset({"leg", "thigh", "calf", "foot", "body", "pain", "wound", "private", "head"})


class Scores:
    """The learned score of each sentence, without the words that a scope or a harmless phrase took.

    Each is worked out when it is first asked for: mostly the words of the lexicon decide alone.
    """

    def __init__(self, said: Words, silent: set[int], lexicon: Lexicon) -> None:
        self._said, self._silent, self._lexicon = said, silent, lexicon
        self._spans = {said.sentence[start]: (start, end) for start, end in said.sentences()}
        self._known: dict[int, float] = {}

    def __getitem__(self, sentence: int) -> float:
        """The score of the sentence with this number; the line itself when no word of it is left."""
        if sentence not in self._known:
            self._known[sentence] = self._score(*self._spans[sentence])
        return self._known[sentence]

    def values(self) -> list[float]:
        """All of them, in order."""
        return [self[sentence] for sentence in self._spans]

    def _score(self, start: int, end: int) -> float:
        words, tags = self._said.left(start, end, self._silent, self._lexicon)
        if self._lexicon.net is None or all(word == "~" for word in words):
            return self._lexicon.line
        return self._lexicon.net.score(words, tags)


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
    strange = [at for at, word in enumerate(said.fixed) if word not in lexicon.plain and lexicon.tag(word) == "?"]
    strange = [at for at in strange if at not in silent]
    if not strange:
        return []
    tags = map(lexicon.tag, said.fixed)
    parts = [at for at, tag in enumerate(tags) if tag in BODY and said.fixed[at] not in lexicon.small["pointer"]]
    beside = (at for at in strange if any(abs(at - part) <= NEAR and said.together(at, part) for part in parts))
    return [said.quote(max(0, at - NEAR), at + NEAR) for at in beside][:1]
