"""The policy table decides every case: a flag is never silenced by a no, and no answer is never a no."""

import pytest

from coachbot.core.reading import Gap, Policy
from coachbot.language import policy

TABLE = policy()


@pytest.mark.parametrize("closed", ["yes", "no", "unclear", "silent"])
@pytest.mark.parametrize("jump", [True, False])
def test_alert_words_always_alert(closed, jump):
    assert TABLE.decide("alert", closed, jump=jump).act == "alert"


def test_no_beside_flag_shows_conflict():
    assert TABLE.decide("alert", "no", jump=False).conflict and TABLE.decide("none", "no", jump=True).conflict


@pytest.mark.parametrize("words", ["alert", "ask", "none"])
def test_yes_and_jump_alert(words):
    assert TABLE.decide(words, "yes", jump=False).act == TABLE.decide(words, "no", jump=True).act == "alert"


@pytest.mark.parametrize("closed", ["unclear", "silent"])
@pytest.mark.parametrize("words", ["ask", "none"])
def test_no_answer_is_asked(words, closed):
    assert TABLE.decide(words, closed, jump=False).act == "ask"


def test_only_clear_no_is_quiet():
    quiet = [case for case, decision in TABLE.cases.items() if decision.act == "none"]
    assert quiet == [("none", "no", "usual")]


def test_gap_in_table_refused():
    row = {"words": "alert", "closed": "any", "number": "any", "act": "alert", "conflict": "no", "why": ""}
    with pytest.raises(Gap):
        Policy.from_data([row])
