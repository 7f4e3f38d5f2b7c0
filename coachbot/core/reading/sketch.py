"""A message as a short line of figures and symbols, the same in every language, for the small grammars."""

from coachbot.core.reading.language import Language
from coachbot.core.reading.tokens import MOST_NUMBERS, items

STRANGE = "?"  # stands for a word that the table does not know


def sketch(text: str, language: Language, table: str) -> str:
    """E.g. "forty five minutes" -> "45 minute"; fillers vanish; more numbers than can be an answer give "? many"."""
    line = items(text, language.tables[table], language.numbers)
    if sum(item.value is not None for item in line) > MOST_NUMBERS:
        return f"{STRANGE} many"
    words = (f"{i.value:.10g}" if i.value is not None else (i.symbol or STRANGE) for i in line)
    return " ".join(word for word in words if word != "filler")
