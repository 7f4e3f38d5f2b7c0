"""Answers that can be tapped: which reactions stand under a question, and what a tap on one says.

Reactions are never encrypted: whoever runs the homeserver reads them. So they are put there only by the setting.
"""

from collections.abc import Mapping

from coachbot.core.book import Handbook
from coachbot.core.effects import Word
from coachbot.core.speak import say
from coachbot.core.state import IDLE, State

SCALE = ("0️⃣", "1️⃣", "2️⃣", "3️⃣", "4️⃣", "5️⃣", "6️⃣", "7️⃣", "8️⃣", "9️⃣", "🔟")
"""The pain scale from 0 to 10, as keys."""
YES, NO = "✅", "❌"
KEYS: Mapping[str, tuple[str, ...]] = {"pain": SCALE, "effort": SCALE, "yes_no": (YES, NO)}
"""The kinds of answers that a tap can give."""
TAKEN = "✅"
SEEN = frozenset({TAKEN, "👍", "👌", "🙋"})
"""Reactions by which a clinician takes an alert; the first is put under it by the coach."""
EMOJI_STYLE = "\ufe0f"  # the same emoji comes with and without this mark


def keys(state: State, book: Handbook) -> tuple[str, ...]:
    """The reactions for the question that is open; none when it wants words."""
    return KEYS.get(_wanted(state, book), ())


def read(key: str, state: State, book: Handbook) -> str | None:
    """What a tap on this key says to the open question, in words; None when it says nothing."""
    plain = [each.replace(EMOJI_STYLE, "") for each in keys(state, book)]
    if key not in plain:
        return None
    if _wanted(state, book) == "yes_no":
        return say(Word("yes" if key == YES else "no"), book.texts[state.language])
    return str(plain.index(key))


def moment(state: State) -> str:
    """What tells this question from every other one: a tap counts only while it is open."""
    talk = state.talk
    return f"{talk.topic} {talk.part} {talk.tries} {talk.asked_at}"


def _wanted(state: State, book: Handbook) -> str:
    talk = state.talk
    if talk.topic == IDLE or talk.dialog not in book.dialogs:
        return ""
    parts = book.dialogs[talk.dialog].questions[talk.question].parts
    open_parts = [part for part in parts if part.slot not in talk.told and talk.part in ("", part.slot)]
    return open_parts[0].answer if len(open_parts) == 1 else ""
