"""Athletes get short and plain words: no clearance before the signature, no diagnosis, no drug, no blame."""

import re

import pytest
from census import texts

ALERT = ("alert.situation", "alert.background", "alert.assessment", "alert.recommendation")
STAFF = (*ALERT, "desk.", "clinician.", "case", "mark.", "tier.", "course.", "opens.", "flag.",
         "criterion.", "test.", "trend.", "load.", "outlook.", "group.", "figures.", "summary.", "method.")  # fmt: skip
"""Keys below these are said to clinicians, or are names used inside other texts."""
MOST_WORDS = 20
HIGHEST_GRADE = 4
"""US school grade of the whole dialog by Flesch-Kincaid (Kincaid 1975, from memory); grade 6 is about age 12."""
SIGNED = {"cleared.athlete", "desk.cleared"}
"""Said after the signature, and only then."""


def lines(*, staff: bool) -> dict[str, str]:
    """Every text by key, plural forms apart; with or without those for clinicians."""
    found = {}
    for key, entry in texts().items():
        if staff or not key.startswith(STAFF):
            forms = {"": entry} if isinstance(entry, str) else entry
            found |= {f"{key} {form}".strip(): text for form, text in forms.items()}
    return found


def sentences(text: str) -> list[str]:
    return [part for part in re.split(r"[.!?:](?:\s|$)|\n|[()]", text) if part.strip()]


def words(sentence: str) -> list[str]:
    return re.findall(r"[\w{}'%/-]+", sentence)


def test_athletes_get_short_sentences():
    long = {key: s for key, text in lines(staff=False).items() for s in sentences(text) if len(words(s)) > MOST_WORDS}
    assert long == {}


def test_dialog_reads_easily():
    said = [
        sentence for text in lines(staff=False).values() for sentence in sentences(text) if len(words(sentence)) > 1
    ]
    every = [word for sentence in said for word in words(sentence) if word.isalpha()]
    grade = 0.39 * len(every) / len(said) + 11.8 * sum(map(syllables, every)) / len(every) - 15.59
    assert grade <= HIGHEST_GRADE


def syllables(word: str) -> int:
    """Groups of vowels, a silent e at the end left out: near enough for an average."""
    groups = re.findall(r"[aeiouy]+", word.lower())
    silent = word.lower().endswith("e") and not word.lower().endswith("le") and len(groups) > 1
    return max(len(groups) - silent, 1)


FORBIDDEN = {
    "clearance before the signature": r"clear(ed|ance|s)?|heal(ed|ing|s)?|(safe|fit|ready) to (play|compete|return)",
    "a diagnosis": r"tears?|torn|ruptured?|avulsion|fractured?|blood clot|thrombosis|strain|diagnos\w+|grade [0-9]",
    "a word that rates pain": r"mild(ly)?|moderate(ly)?|severe(ly)?",
    "advice about a drug": r"ibuprofen|paracetamol|aspirin|tablets?|pills?|take (a|your|some) (painkiller|medicine)",
    "blame": r"you (failed|forgot|ignored|should have|must not)|your (fault|mistake)|careless|lazy|disappoint\w*",
}


@pytest.mark.parametrize("kind", FORBIDDEN)
def test_no_text_says(kind):
    pattern = re.compile(rf"\b({FORBIDDEN[kind]})\b", re.IGNORECASE)
    said = {key: text for key, text in lines(staff=kind != "a diagnosis").items() if key not in SIGNED}
    assert {key: text for key, text in said.items() if pattern.search(text)} == {}


def test_clearance_only_after_signing():
    assert all("cleared" in str(texts()[key]) for key in SIGNED)


def test_emergency_names_the_number():
    urgent = ("stop.emergency", "nobody_answered.emergency", "hold.nobody_yet", "help.emergency", "advice.self-harm")
    assert [key for key in urgent if "call your local emergency number" not in str(texts()[key]).lower()] == []
    assert str(texts()["stop.emergency"]).startswith("Stop now.")


def test_self_harm_gets_people():
    text = str(texts()["advice.self-harm"])
    assert all(word in text for word in ("glad you told me", "crisis line", "someone you trust", "clinician is told"))
    assert "{" not in text


def test_help_promises_no_examination():
    text = str(texts()["help.emergency"])
    assert "does not examine you" in text and "no emergency service" in text


SCREENS = {
    "intake.emergency": (
        "urine",
        "stool",
        "saddle",
        "both legs",
        "chest",
        "breath",
        "blood",
        "cold",
        "pale",
        "fever",
        "tighter",
    ),
    "intake.urgent": (
        "bruise",
        "gap",
        "sitting bone",
        "split",
        "kick",
        "lift",
        "pins and needles",
        "calf",
        "trip",
        "rest",
    ),
    "morning.sudden": ("sharp pain", "pop", "numbness", "swelling", "weakness"),
    "morning.walking": ("painkiller", "0 is no pain", "10"),
}


@pytest.mark.parametrize("key", SCREENS)
def test_screens_name_their_signs(key):
    assert [sign for sign in SCREENS[key] if sign not in str(texts()[key])] == []


def test_pain_questions_name_the_side():
    asked = ("morning.walking", "morning.response", "pain.score", "ask.run_pain", "ask.work_pain", "intake.urgent")
    assert [key for key in asked if "{side} leg" not in str(texts()[key])] == []


def test_scores_say_their_scale():
    scores = {k: v for k, v in lines(staff=True).items() if re.search(r"\{(score|pain)\}", v)}
    assert scores
    assert {k: v for k, v in scores.items() if not re.search(r"\{(score|pain)\} of 10", v)} == {}
