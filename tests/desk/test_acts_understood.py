"""Every act is understood in natural words and with one slip of the keyboard, and becomes a named event."""

from dataclasses import replace

import pytest
from play import CLINICIAN, Play, book

from coachbot.core.desk.acts import ACTS, FITS
from coachbot.core.desk.grammar import read
from coachbot.core.desk.hear import ERASE, READS, ROOM


def building() -> Play:
    """A case on day 2 with both ladders begun."""
    play = Play().approved().on(2)
    play.morning("1")
    return play


def screened() -> Play:
    return Play().intake()


def held() -> Play:
    play = building()
    play.hear("I felt a sharp pop")
    return play


def proposed() -> Play:
    """Each rise waits for a clinician, and one does."""
    play = Play().intake()
    play.act("approve signed")
    play.on(2).morning("1")
    play.on(2, 18).report()
    play.on(3).morning("1")
    assert any(rung.proposed for rung in play.state.ladders.values())
    return play


def risen() -> Play:
    """The hinge stands on its second level."""
    play = building()
    play.act("waive hinge 2 done in clinic")
    return play


def criteria() -> Play:
    """The criteria are being collected."""
    play = building()
    play.state = replace(play.state, course="testing")
    return play


# The athlete's name is taken out before these lines are read. Each: where, natural words, one slip, what becomes of it.
SAID = [
    ("approve", screened, "approve with sliders and hinge", "aprove with sliders and hinge", "approved"),
    ("hold", building, "please put on hold, new swelling", "pause trainig, new swelling", "held"),
    ("release", held, "release, seen today, only a cramp", "relaese seen today, only a cramp", "released"),
    ("limit", building, "set the pain limit to 3, careful start", "set pain limt to 3, careful start", "limited"),
    ("pain-free", building, "pain free mode, he is anxious", "pain fre mode, anxious", "limited"),
    ("families", building, "switch to nordic", "swich to nordic", "chose"),
    ("days", building, "may train on mon, wed and fri", "may trian on monday", "scheduled"),
    ("open-fast", building, "open fast running, good strength", "open fast runing, good strength", "opened"),
    ("open-early", building, "let run early, walks without pain", "open erly run, walks well", "opened"),
    ("waive", building, "waive slider 2 done in clinic", "wiave slider to level 2, done in clinic", "waived"),
    ("up", building, "step up the slider, strong", "step up slidr, strong", "stepped"),
    ("down", risen, "one level down hinge, sore", "one levle down hinge, sore", "stepped"),
    ("signed", building, "sign each rise", "sign each rsie", "chose"),
    ("automatic", building, "automatic", "automatc", "chose"),
    ("confirm", proposed, "confirm all rises", "confrim", "stepped"),
    ("refuse", proposed, "refuse slider, not yet", "refues slider, not yet", "refused"),
    ("acknowledge", held, "got it", "acknowlege", "acknowledged"),
    ("take", held, "I take over", "take ovr", "acknowledged"),
    ("pass", held, "pass the alert on to dr-two", "forwrad to dr-two", "alert-passed"),
    ("note", building, "note called, doing well", "add noet called, doing well", "noted"),
    ("message", building, "tell him well done", "mesage well done", "messaged"),
    ("review", building, "see again on friday", "reveiw friday", "review-planned"),
    ("reviewed", building, "examined today, limp gone", "examind, limp gone", "reviewed"),
    ("sign", criteria, "sign off, all criteria seen", "sign clearence all criteria seen", "cleared"),
    ("not-cleared", criteria, "refuse clearance, strength lags", "refuse clearnce, strength lags", "not-cleared"),
    ("close", building, "close the case, season over", "discharg, season over", "closed"),
    ("hand", building, "hand the case over to dr-two", "transfr to dr-two", "handed-over"),
    ("undo", building, "take that back", "take that bak", "undone"),
    ("hours", building, "reachable 8 to 18 weekdays 030 123456 UTC", "reachble 8 to 18 weekdays UTC", "rostered"),
]


def prepared(act, place):
    play = place()
    if act == "undo":
        play.act("note called")
    return play


@pytest.mark.parametrize(("act", "place", "natural", "slip", "kind"), SAID, ids=[row[0] for row in SAID])
def test_said_act_becomes_event(act, place, natural, slip, kind):
    for line in (natural, slip):
        play = prepared(act, place)
        play.act(line)
        assert kind in play.kinds(), line
        done = next(fact for fact in play.last if fact.kind == kind)
        assert CLINICIAN in (getattr(done, "by", ""), getattr(done, "who", ""))
        assert (play.last[0].kind, play.last[0].line, done.at) == ("acted", line, play.now)


def test_every_act_of_a_kind_is_tried():
    names = {row[0] for row in SAID}
    assert names <= set(ACTS)
    assert {row[0] for row in READ} | names >= {*ACTS, *READS, *ROOM, ERASE} - {"weight", "week", "load"}


READ = [
    ("show", "how is", "shw case"),
    ("why", "why 3 march", "why 3 march"),
    ("what-if", "what if pain 2 tomorrow", "supose pain 2 tomorrow"),
    ("caseload", "list the cases", "caselod"),
    ("digest", "morning digest", "digset"),
    ("board", "team board", "bord"),
    ("help", "help", "hepl"),
    ("enrol", "new athlete Kim", "enorl Kim"),
    ("add-clinician", "add colleague dr-kay", "add coleague dr-kay"),
    ("add-staff", "add coach kim", "add caoch kim"),
    ("hours", "my hours 8 to 18", "my huors 8 to 18"),
    ("zone", "my clock Berlin", "my clok Berlin"),
    ("language", "change my language", "my langauge English"),
    ("digest-at", "send the digest at 7", "digset at 7"),
    ("board-at", "team board at 9", "team baord at 9"),
    ("erase", "erase everything", "erase everthing"),
    ("measure", "measured", "measrued"),
    ("top-speed", "top speed 8.5", "top sped 8.5"),
    ("kind", "kind of injury", "kind of injruy"),
    ("weights", "weights at hand", "weigths at hand"),
    ("criterion", "waive criterion", "wiave criterion"),
    ("readiness", "show readiness", "readines"),
    ("outlook", "outlook", "outlok"),
    ("summary", "summary", "sumary"),
]


@pytest.mark.parametrize(("act", "natural", "slip"), READ, ids=[row[0] for row in READ])
def test_said_reading_is_understood(act, natural, slip):
    assert [read(line, book(), FITS).act for line in (natural, slip)] == [act, act]


def slips(phrase):
    """The phrase with two neighbouring letters swapped, one lost, one doubled, inside each longer word."""
    words = phrase.split()
    for at, word in enumerate(words):
        for letter in range(1, len(word) - 1) if len(word) > 4 and word.isalpha() else ():
            swapped = word[:letter] + word[letter + 1] + word[letter] + word[letter + 2 :]
            lost, doubled = (
                word[:letter] + word[letter + 1 :],
                word[:letter] + word[letter : letter + 1] + word[letter:],
            )
            for slip in (swapped, lost, doubled):
                yield " ".join([*words[:at], slip, *words[at + 1 :]])


def test_slip_never_means_another_act():
    table = book().texts["en"].acts["acts"]
    for act, phrases in table.items():
        for phrase in phrases:
            meant = {other for other, said in table.items() if phrase in said}
            for line in slips(phrase):
                order = read(line, book(), FITS)
                assert order.act in (act, None) or order.act in meant, (line, act, order.act)


def test_table_phrase_is_understood():
    table = book().texts["en"].acts["acts"]
    for act, phrases in table.items():
        for phrase in phrases:
            order = read(phrase, book(), FITS)
            assert order.act == act or act in order.may_mean, phrase
