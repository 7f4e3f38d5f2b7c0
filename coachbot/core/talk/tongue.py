"""The languages a person may pick, each by its own name; which ones are complete is found out elsewhere."""

from coachbot.core.book import Handbook
from coachbot.core.effects import Word
from coachbot.core.speak import say


def name(code: str, book: Handbook) -> str:
    """What a language calls itself."""
    return say(Word("language.name"), book.texts[code])


def listed(book: Handbook) -> str:
    """The languages offered, numbered, one a line."""
    return "\n".join(f"{number} {name(code, book)}" for number, code in enumerate(book.offered, start=1))


def picked(text: str, book: Handbook) -> str | None:
    """The one offered language that a text names, by name, code or number in the list; None when none or several."""
    words = "".join(c if c.isalnum() else " " for c in text.lower()).split()
    known = {code: {name(code, book).lower(), code, str(number)} for number, code in enumerate(book.offered, start=1)}
    found = [code for code, forms in known.items() if forms.intersection(words)]
    return found[0] if len(found) == 1 else None
