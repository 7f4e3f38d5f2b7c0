"""The learned weights come from the phrases beside the script, byte for byte, and only make the coach ask."""

from dataclasses import replace

from coachbot.core.reading import flags
from coachbot.core.reading.flags import calm
from coachbot.language import WEIGHTS, folder, load_full
from coachbot.training.phrases import phrases
from coachbot.training.train import train

ENGLISH = load_full("en")


def test_weights_come_from_script():
    assert train(phrases(), ENGLISH.lexicon) == (folder() / "en" / WEIGHTS).read_bytes()


def test_several_thousand_varied_phrases():
    rows = phrases()
    flagged = [text for text, flag in rows if flag]
    assert len(flagged) > 2000 and len(rows) - len(flagged) > 2000 and len({text for text, _ in rows}) == len(rows)


def test_no_phrase_has_both_labels():
    flagged, harmless = ({text for text, flag in phrases() if flag is wanted} for wanted in (True, False))
    assert flagged & harmless == set()


def test_net_never_silences():
    # a line of nothing but answer words and a low score is calm by its words, net or no net
    without = replace(ENGLISH, lexicon=replace(ENGLISH.lexicon, net=None))
    order = ("none", "ask", "alert")
    for text, _ in phrases()[::7]:
        if flags(text, without).verdict != "none" and not calm(text, ENGLISH, ENGLISH.lexicon.strong):
            assert order.index(flags(text, ENGLISH).verdict) > 0, text
