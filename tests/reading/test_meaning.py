"""Reading by meaning can only make the coach ask: it alerts nobody, silences nothing else, and is bounded."""

from dataclasses import replace

import numpy as np
import pytest

from coachbot.core.reading import flags
from coachbot.core.reading.language import Incomplete
from coachbot.language import MEANING, folder, load_full
from coachbot.meaning import MOST, Layers, embedder, sense
from coachbot.training.meaning import embedded, fit
from coachbot.training.phrases import phrases

PLAIN, ENGLISH = load_full("en"), load_full("en", meaning=True)
STORED = (folder() / "en" / MEANING).read_bytes()
SOME = phrases()[::40]
UNITS = embedded([text for text, _ in SOME])
FLAGGED = np.array([flag for _, flag in SOME])


def test_alerts_stay_the_same():
    for text, _ in SOME:
        with_it, without = flags(text, ENGLISH), flags(text, PLAIN)
        assert (with_it.alerts, with_it.notes) == (without.alerts, without.notes), text


def test_words_asked_stay_asked():
    # however harmless a message seems to mean, patterns and unknown words still ask
    calm, no_net = (replace(PLAIN, lexicon=replace(PLAIN.lexicon, **change)) for change in (
        {"sense": lambda text: -1e6}, {"line": float("inf")}))  # fmt: skip
    asked = [text for text, _ in phrases()[::20] if flags(text, no_net).verdict == "ask"]
    assert asked and all(flags(text, calm).verdict == "ask" for text in asked)


def test_meaning_alone_makes_ask():
    silent = [text for text, _ in phrases()[::20] if flags(text, PLAIN).verdict == "none" and " " in text]
    certain = replace(PLAIN, lexicon=replace(PLAIN.lexicon, sense=lambda text: 1e6))
    asked = [text for text in silent if flags(text, certain).verdict == "ask"]
    assert len(asked) > len(silent) / 2 and not any(flags(text, certain).alerts for text in silent)


def test_stored_net_knows_its_phrases():
    scores = Layers.unpacked(STORED, embedder().checksum).scores(UNITS)
    assert ((scores > 0) == FLAGGED).mean() > 0.97


def test_same_phrases_same_net():
    first, second = fit(UNITS, FLAGGED), fit(UNITS, FLAGGED)
    assert np.array_equal(first.hidden, second.hidden)
    # two bytes a number lose nothing that matters
    kept = Layers.unpacked(first.packed(1), 1)
    assert np.corrcoef(kept.scores(UNITS), first.scores(UNITS))[0, 1] > 0.9999


def test_few_phrases_tell_others_apart():
    half = np.arange(len(SOME)) % 2 == 0
    scores = fit(UNITS[half], FLAGGED[half]).scores(UNITS[~half])
    flagged, harmless = scores[FLAGGED[~half]], scores[~FLAGGED[~half]]
    assert (flagged[:, None] > harmless[None, :]).mean() > 0.65  # by chance 0.5


def test_long_message_is_bounded():
    rows, more = embedder()("my leg is fine and i feel good " * 500)
    assert len(rows) == MOST and more
    assert sense(STORED)("all good today and a quiet day at work " * 500) >= 0.0


def test_other_model_is_refused():
    with pytest.raises(Incomplete, match="another model"):
        Layers.unpacked(STORED, embedder().checksum ^ 1)
