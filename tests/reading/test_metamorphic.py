"""Changing what carries no meaning never loses a flag, and a clean denial never alarms."""

import csv
import unicodedata
from pathlib import Path

from hypothesis import given, settings, strategies as st

from coachbot.core.reading import clean, flags
from coachbot.language import load_full

ENGLISH = load_full("en")
SIGNS = [
    "heard a pop", "sharp pain in my hamstring", "my foot is numb", "i can't walk on it", "leg gave way", "chest pain",
    "huge bruise on my thigh", "pins and needles in my foot", "my knee is locked", "i want to die",
    "calf hot and swollen", "felt a snap", "can't put weight on it", "i passed out", "stabbing pain behind my knee",
]  # fmt: skip
DENIED = [
    "pop", "sharp pain", "numbness", "swelling", "snap", "limping", "tingling", "bruising", "stabbing pain",
    "chest pain",
]  # fmt: skip
BEFORE = ["", "hi coach, ", "ok so ", "3x8 done. ", "all good today. ", "thanks! ", "pain 2. ", "um, "]
AFTER = ["", " lol", " today", " :(", ". thanks", " 😬", ", what now?", "!!!", " at training"]
PLAIN_AFTER = ["", " today", " lol", ". thanks", "!", " so far"]
FILES = ("red_flags", "red_flags_2", "red_flags_3")
CASES = [str, str.upper, str.title]
FORMS = [str.upper, str.title, lambda text: text.replace(" ", "  "), lambda text: f"{text} !!"]


def written(name: str) -> list[str]:
    lines = (Path(__file__).parents[1] / f"corpora/{name}.csv").read_text("utf-8").splitlines()
    rows = [row for row in csv.DictReader(lines) if row["lang"] == "en" and row["expected"] == "FLAG"]
    return [row["text"] for row in rows if flags(row["text"], ENGLISH).verdict == "alert"]


SEEN = [text for name in FILES for text in written(name)]


def silent(text: str) -> bool:
    return flags(text, ENGLISH).verdict == "none"


@given(st.sampled_from(SIGNS), st.sampled_from(BEFORE), st.sampled_from(AFTER), st.sampled_from(CASES))
@settings(deadline=None)
def test_harmless_company_keeps_flag(sign, before, after, case):
    assert not silent(case(before + sign + after))


@given(st.sampled_from(SEEN), st.sampled_from(FORMS))
@settings(deadline=None, max_examples=300)
def test_spelling_form_keeps_flag(text, form):
    assert not silent(form(text))


@given(st.sampled_from(SIGNS), st.sampled_from("\u200b\u00ad\u2060\u202e"), st.integers(1, 60))
@settings(deadline=None)
def test_invisible_letters_keep_flag(sign, letter, at):
    assert not silent(sign[:at] + letter + sign[at:])


@given(st.sampled_from(SIGNS), st.data())
@settings(deadline=None, max_examples=400)
def test_one_typo_keeps_flag(sign, data):
    words = sign.split()
    long = [i for i, word in enumerate(words) if len(word) >= 5 and word.isalpha()]
    if not long:
        return
    which = data.draw(st.sampled_from(long))
    word = words[which]
    at = data.draw(st.integers(1, len(word) - 2))
    kind = data.draw(st.sampled_from(["swap", "drop", "double"]))
    words[which] = {
        "swap": word[:at] + word[at + 1] + word[at] + word[at + 2 :],
        "drop": word[:at] + word[at + 1 :],
        "double": word[: at + 1] + word[at:],
    }[kind]
    assert not silent(" ".join(words))


@given(st.lists(st.sampled_from(DENIED), min_size=1, max_size=4, unique=True), st.sampled_from(PLAIN_AFTER))
@settings(deadline=None)
def test_clean_denial_never_alarms(signs, after):
    for text in (", ".join(f"no {sign}" for sign in signs), "no " + " or ".join(signs)):
        assert flags(text + after, ENGLISH).verdict != "alert"


def test_every_sign_is_clean_at_once():
    """Folding a sign for metres a second must not leave a slash that only a second cleaning knows."""
    folded = [chr(at) for at in range(0x110000) if unicodedata.normalize("NFKC", chr(at)) != chr(at)]
    assert len(folded) > 4_000
    assert [sign for sign in folded if clean(clean(f"2{sign}").text) != clean(f"2{sign}")] == []


@given(st.text(max_size=300))
@settings(deadline=None, max_examples=300)
def test_cleaning_twice_changes_nothing(text):
    once = clean(text).text
    assert clean(once).text == once
