"""An athlete reads and writes one language, the clinicians another, in one case; quotes stay as they were written."""

import pytest
from play import CLINICIAN, INTAKE
from pseudo import strange

from coachbot.language import offered

OTHER = "dr-two"


def chosen(clinic, name: str = "Sam", pick: str = "Englishßu") -> str:
    """An athlete who picks a language at the beginning of the intake and finishes it."""
    case = clinic.enrol(name)
    clinic.hear(case, "hello")
    clinic.hear(case, pick)
    for slot, words in INTAKE.items():
        plain = slot in ("injured_on", "zone", "top_speed")
        clinic.hear(case, words if plain or pick == "1" else strange(words))
    return case


@pytest.fixture
def mixed(abroad):
    """Sam reads the pseudo-language and has an approved programme; both clinicians read English."""
    chosen(abroad)
    abroad.say("approve sam")
    abroad.unsent("sam")
    return abroad.on(2)


def test_both_are_offered(abroad):
    assert offered() == ("en", "qq")


def test_intake_asks_for_the_language_first(abroad):
    case = abroad.enrol()
    asked = abroad.hear(case, "hello")
    assert "1 English\n2 Englishßu" in asked
    assert "Whichßu legßu isßu hurtßu" in abroad.hear(case, "2")
    assert abroad.state().language == "qq"


def test_intake_in_english_stays_english(abroad):
    case = chosen(abroad, pick="1")
    assert (abroad.state(case).language, abroad.state(case).course) == ("en", "screened")


def test_whole_intake_is_understood(abroad):
    case = chosen(abroad)
    assert abroad.state(case).course == "screened"
    told = next(text for text in abroad.news() if "finished the intake" in text)
    assert "Leg: left." in told and "ßu" not in told


def test_whole_check_in_is_understood(mixed):
    mixed.hear("sam", strange("hello"))
    said = mixed.hear("sam", "2")
    assert "Sinceßu yesterdayßu" in said
    said = mixed.hear("sam", strange("no"))
    assert "Todayßu: strengthßu." in said and "Two-leg" not in said
    mixed.on(2, 18)
    for words in ("done", "3 x 6, full, 1", "3 x 8, full, 1", "no", "6, 40 min"):
        said = mixed.hear("sam", strange(words))
    assert "Thankßu youßu" in said
    assert mixed.state().session.done_at is not None


def test_free_text_leads_to_the_closed_question(mixed):
    said = mixed.hear("sam", strange("felt a pop in my thigh"))
    assert "yesßu orßu noßu" in said and '"feltßu aßu popßu' in said
    assert mixed.state().hold is None


def test_alert_is_read_in_english(mixed):
    words = strange("felt a pop in my thigh")
    mixed.hear("sam", words)
    said = mixed.hear("sam", strange("yes"))
    assert "stopßu allßu trainingßu" in said
    alert = next(message for message in mixed.unsent(CLINICIAN) if message.alert)
    assert "S: SAME DAY for Sam." in alert.text and f'Words: "{words}"' in alert.text
    assert f'"{words}"' in mixed.say("sam")
    mixed.say("acknowledge sam")
    mixed.say("release sam seen today, tender only")
    mixed.say("yes")
    assert any("trainingßu mayßu goßu onßu" in message.text for message in mixed.unsent("sam"))


def test_silence_on_the_question_holds(mixed):
    mixed.hear("sam", strange("my thigh is odd"))
    mixed.tick(mixed.coach.next_wake())
    assert mixed.state().hold.reason.rule == "flag.unclear-answer"


def test_message_stays_as_it_was_written(mixed):
    mixed.hear("sam", strange("talk to my clinician"))
    mixed.hear("sam", strange("can I swim"))
    assert 'Message from Sam: "canßu Ißu swimßu"' in mixed.news()


def test_language_changes_at_any_time(mixed):
    said = mixed.hear("sam", strange("language"))
    assert "1 English\n2 Englishßu" in said
    assert "I write in your language from now on" in mixed.hear("sam", "English")
    assert "Sam reads and writes English from now on." in "\n".join(mixed.news())
    assert "You can write these words" in mixed.hear("sam", "help")
    assert mixed.state().language == "en"


def test_unknown_language_is_asked_again(mixed):
    mixed.hear("sam", strange("language"))
    assert "1 English\n2 Englishßu" in mixed.hear("sam", "3")
    assert mixed.state().language == "qq"


def test_language_survives_a_restart(mixed):
    mixed.open()
    assert "Youßu canßu writeßu" in mixed.hear("sam", strange("help"))


def test_clinician_reads_another_language(mixed):
    chosen(mixed, "Maria", pick="1")
    assert "Thisßu deskßu isßu inßu Englishßu" in mixed.say("language Englishßu", OTHER)
    mixed.hear("maria", "felt a pop")
    seen = mixed.say("maria", OTHER)
    assert "Courseßu: waitsßu" in seen and '"felt a pop"' in seen
    assert "Course: waits for approval" in mixed.say("maria")


def test_acts_are_understood_in_both(mixed):
    mixed.say("language Englishßu", OTHER)
    said = mixed.say(f"{strange('hold')} sam {strange('new swelling')}", OTHER)
    assert f"Sam isßu onßu holdßu: {strange('new swelling')}" in said
    mixed.say("release sam seen today", OTHER)
    mixed.say(strange("yes"), OTHER)
    assert mixed.state().hold is None


def test_shared_words_are_in_the_language_all_share(mixed):
    mixed.say("language Englishßu")
    mixed.hear("sam", strange("talk to my clinician"))
    mixed.hear("sam", "hm")
    assert "Message from Sam" in mixed.news()[-1]
    mixed.say("language Englishßu", OTHER)
    mixed.hear("sam", strange("talk to my clinician"))
    mixed.hear("sam", "hm")
    assert "Messageßu fromßu Sam" in mixed.news()[-1]


def test_alert_is_read_in_the_language_of_its_desk(mixed):
    mixed.say("language Englishßu")
    mixed.hear("sam", strange("felt a pop"))
    mixed.hear("sam", strange("yes"))
    assert any("SAMEßu DAYßu" in message.text for message in mixed.unsent(CLINICIAN))
    mixed.say(f"{strange('pass')} sam dr-two")
    assert any("S: SAME DAY" in message.text for message in mixed.unsent(OTHER))


def test_desk_names_what_is_offered(mixed):
    assert "English, Englishßu" in mixed.say("language Klingon")
    assert "English, Englishßu" in mixed.say("my language")


def test_what_if_is_answered_for_any_athlete(mixed):
    assert "Today:" in mixed.say("what if sam 2 tomorrow")
