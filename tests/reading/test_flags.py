"""Red flags are found by meaning, under the programme's names; scopes take back only what is plainly harmless."""

from dataclasses import replace

import pytest

from coachbot.core.reading import flags
from coachbot.language import load, load_full

ENGLISH = load_full("en")


def found(text: str) -> set[str]:
    return {alert.flag for alert in flags(text, ENGLISH).alerts}


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("pain shoots to my foot when I cough", {"below-knee-cough"}),
        ("can't feel when I wipe", {"saddle-numbness"}),
        ("heard a pop, can't walk", {"sudden-pain", "cannot-walk"}),
        ("calf swollen and I flew yesterday", {"calf-swelling"}),
        ("my leg gave way on the stairs", {"gave-way"}),
        ("pins and needles in my foot", {"pins-needles"}),
        ("huge bruise down my thigh", {"big-bruise"}),
        ("there's a dent in the muscle", {"gap"}),
        ("i want to die", {"self-harm"}),
        ("i passed out after the session", {"collapse"}),
        ("chest pain and short of breath", {"chest-breath"}),
        ("the pain keeps waking me at night", {"night-pain"}),
        ("my knee is locked, can't straighten it", {"locked"}),
        ("toes have gone white and cold", {"cold-foot"}),
        ("i hit my head in the fall", {"head-injury"}),
    ],
)
def test_flag_has_its_name(text, wanted):
    assert wanted <= found(text)


@pytest.mark.parametrize(
    "text",
    ["tight hamstring, sore 3/10 after sliders", "no numbness, no pop", "2 no", "3x8 full 2", "settled", "all good",
     "no sharp pain, no pop, no swelling", "popped to the shops",
     "what if i feel a pop?", "2 of 3, half range, pain 3"],
)  # fmt: skip
def test_harmless_stays_quiet(text):
    assert flags(text, ENGLISH).verdict == "none"


@pytest.mark.parametrize(
    "text", ["no pop but sharp pain on every step", "no, felt a pop", "not just sore, it's a sharp pain",
             "no doubt it popped", "never had numb toes before today"],
)  # fmt: skip
def test_negation_trap_is_caught(text):
    assert flags(text, ENGLISH).verdict == "alert"


@pytest.mark.parametrize("text", ["it didnt pop it snapped", "could running have caused this swelling"])
def test_short_trap_is_asked_about(text):
    assert flags(text, ENGLISH).verdict != "none"


@pytest.mark.parametrize(
    "text", ["tingling no, swelling no, bruising no", "pop? not even a little", "numb? no", "swelling: none"],
)  # fmt: skip
def test_no_after_its_sign_denies(text):
    assert flags(text, ENGLISH).verdict == "none"


@pytest.mark.parametrize("text", ["calf swollen, no?", "numb? not sure", "felt a pop no pain", "pop - no pain now"])
def test_other_no_denies_nothing(text):
    assert flags(text, ENGLISH).verdict != "none"


def test_question_about_the_leg_of_nobody_is_asked_back():
    assert flags("why is a swollen calf urgent?", ENGLISH).verdict == "ask"
    assert flags("why is my calf swollen?", ENGLISH).verdict == "alert"


def test_question_after_a_fact_leaves_it_a_fact():
    assert flags("calf swollen, will it go down?", ENGLISH).verdict == "alert"


@pytest.mark.parametrize(
    "text", ["when i first did it i had chest pain", "what if i want to kill myself",
             "i used to think about suicide", "last year i passed out"],
)  # fmt: skip
def test_own_emergency_is_never_silent(text):
    assert flags(text, ENGLISH).verdict != "none"


def test_emergency_of_another_rests_only_with_both_nets():
    assert flags("my dad had chest pain", ENGLISH).verdict == "none"
    alarmed = replace(ENGLISH, lexicon=replace(ENGLISH.lexicon, line=-1_000.0))
    assert flags("my dad had chest pain", alarmed).verdict == "ask"


@pytest.mark.parametrize("text", ["no chest pain", "no trouble breathing, no chest pain", "didn't pass out"])
def test_clean_denial_of_emergency(text):
    assert flags(text, ENGLISH).verdict == "none"


@pytest.mark.parametrize("text", ["my right shoulder popped", "the other hamstring snapped", "sharp pain in my wrist"])
def test_other_part_is_asked(text):
    assert flags(text, ENGLISH).verdict == "ask"


def test_notes_say_what_was_set_aside():
    assert ("denied", "pop") in flags("no pop today", ENGLISH).notes


def test_found_words_are_quoted():
    assert "heard a pop" in {alert.words for alert in flags("Oh I heard a POP!", ENGLISH).alerts}


@pytest.mark.parametrize("code", ["es", "de", "fr", "pt", "it", "nl"])
def test_language_without_lexicon_asks(code):
    assert flags("xyzzy", load_full(code)).verdict == "ask"


def test_lexicon_not_loaded_asks():
    assert flags("felt a pop", load("en")).verdict == "ask"


def test_words_beyond_limit_are_asked():
    assert flags("fine " * 20_000, ENGLISH).doubts[-1] == "..."


def test_flag_found_far_into_text():
    assert "sudden-pain" in found("the weather was nice. " * 1000 + "then i felt a pop in my hamstring")


def test_each_flag_alerts_once():
    alerts = flags("heard a pop, a loud pop, it popped", ENGLISH).alerts
    assert [alert.flag for alert in alerts] == ["sudden-pain"]


@pytest.mark.parametrize(
    "text",
    ["the numbness has gone and not come back", "stopped limping", "in 2009 i tore my calf", "would a tear be loud",
             "suppose i felt a pop, do i rest?", "do people normally get bruising?", "can't stand this rain"],
)  # fmt: skip
def test_resolved_past_imagined_quiet(text):
    assert flags(text, ENGLISH).verdict == "none"


@pytest.mark.parametrize(
    "text", ["my uncle had a heart attack so i was late", "our keeper got concussed, i am fine",
             "my nan has a swollen calf, i was with her"],
)  # fmt: skip
def test_anothers_emergency_is_asked(text):
    assert flags(text, ENGLISH).verdict == "ask"


@pytest.mark.parametrize(
    "text", ["felt a pop and stopped", "stopped, limping off", "i suppose i felt a pop", "just to say i felt a pop",
             "my foot went numb and the feeling has not returned", "will there be bruising? my thigh is purple",
             "he heard a snap and cannot walk, this is his phone", "felt a pop when i was 20 metres out",
             "my mate ran into me, knee gave way"],
)  # fmt: skip
def test_near_scope_still_alerts(text):
    assert flags(text, ENGLISH).verdict == "alert"


def test_breaking_rope_image_not_silent():
    assert flags("swear a cable just broke in there", ENGLISH).verdict != "none"
    assert flags("the cable broke at the gym", ENGLISH).verdict == "none"
