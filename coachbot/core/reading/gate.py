"""Hygiene at the gate: one cleaned form of any message, bounded in size; it must never drop visible words."""

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

LIMIT = 65_536  # characters; beyond this the rest is not read and the case is asked about, never passed over

# Before compatibility folding, which would turn 2½ into 21⁄2.
_FRACTIONS = {"½": 5, "¼": 25, "¾": 75}
_AFTER_DIGIT = re.compile(r"(?<=\d)\s?([½¼¾])")
_ALONE = re.compile("[½¼¾]")
_OTHERS = re.compile(r"([\u2150-\u215e\u2189])(?<=\d.)")  # 2⅓ is 2 1/3, not 21/3
_SIGNS = str.maketrans(
    {
        "’": "'", "‘": "'", "ʼ": "'", "`": "'", "´": "'", "“": '"', "”": '"', "„": '"', "«": '"', "»": '"',
        "–": "-", "—": "-", "−": "-", "‐": "-", "‑": "-", "×": "x", "✕": "x", "✖": "x", "⁄": "/", "∕": "/",
        "→": "->", "➡": "->", "⟶": "->", "≈": "~", "≥": ">=", "≤": "<=", "·": ".", "🔟": "10", "\u20e3": None,
        "\ufdfa": " ", "…": " ... ",
    }
)  # fmt: skip
# Letters of other scripts that look Latin: a word written with them must still be found.
_LOOKALIKES = str.maketrans("аеорсухіјѕһԁԛԝοаαεικνρτυχгтмкнв", "aeopcyxijshdqwoaaeiknptuxrtmkhb")
_FOLDED = _SIGNS | _LOOKALIKES
_SKIN_TONES = {chr(c) for c in range(0x1F3FB, 0x1F400)}
_INVISIBLE = {"Cf", "Cs", "Co", "Mn", "Me", "Cn"}
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")


@dataclass(frozen=True, slots=True)
class Cleaned:
    """The text to read: lower case, composed, one line; `truncated` when the message was over the limit."""

    text: str
    truncated: bool


@lru_cache(maxsize=16)  # every reader of one message cleans it first
def clean(text: str) -> Cleaned:
    """The one form every reader works on. Capped before and after folding, since folding can grow a text."""
    cut = text[:LIMIT]
    folded = _CONTROL.sub("", cut) if cut.isascii() else _fold(cut)
    folded = " ".join(folded.lower().split())
    return Cleaned(folded[:LIMIT], len(text) > LIMIT or len(folded) > LIMIT)


def _fold(text: str) -> str:
    if _ALONE.search(text):
        text = _AFTER_DIGIT.sub(lambda m: f".{_FRACTIONS[m[1]]}", text)
        text = _ALONE.sub(lambda m: f"0.{_FRACTIONS[m[0]]}", text)
    text = unicodedata.normalize("NFKC", _OTHERS.sub(r" \1", text.translate(_SIGNS)))
    return "".join(map(_plain, text.lower().translate(_FOLDED)))


@lru_cache(maxsize=4_096)
def _plain(char: str) -> str:
    if char.isascii():
        return "" if _CONTROL.match(char) else char
    if char in _SKIN_TONES:
        return ""
    category = unicodedata.category(char)
    if category == "Nd":
        return str(unicodedata.decimal(char))
    if category == "Cc":
        return " " if char == "\x85" else ""
    return "" if category in _INVISIBLE else char
