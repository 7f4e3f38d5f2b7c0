"""Whatever is being asked, every sign is heard: stored, alerted, held where its tier holds, and no session."""

import pytest
from walk import Walk

from coachbot.core.effects import ATHLETE
from coachbot.core.events import Alerted, Asked, Flagged, Held, Noted, Prescribed
from coachbot.core.reading import flags
from coachbot.core.state import apply

PHRASES = {
    "bladder-bowel": "i wet myself",
    "saddle-numbness": "i cant feel when i wipe",
    "both-legs": "both my legs are numb",
    "chest-breath": "my chest hurts",
    "collapse": "i passed out",
    "cold-foot": "my foot has gone cold and pale",
    "spreading-infection": "redness is spreading and i have a fever",
    "tight-thigh": "my thigh is rock hard and getting tighter",
    "head-injury": "i hit my head on the ground",
    "self-harm": "i want to kill myself",
    "sudden-pain": "felt a pop",
    "cannot-walk": "i cant walk",
    "big-bruise": "i have a huge bruise",
    "gap": "there is a gap in the muscle",
    "sitting-bone": "my sitting bone hurts",
    "foot-drop": "i cant lift my foot",
    "pins-needles": "pins and needles in my foot",
    "weak-leg": "my leg is suddenly weak",
    "gave-way": "my leg gave way",
    "swelling": "my thigh is swollen",
    "calf-swelling": "my calf is swollen",
    "severe-pain": "excruciating pain",
    "locked": "my knee is locked",
    "below-knee-cough": "pain shoots to my foot when i cough",
    "night-pain": "pain wakes me at night",
}
"""One phrase for every sign that words can show; the other signs come from answers and from the course of days."""


def training() -> Walk:
    """A case that has just been given its first session."""
    walk = Walk().approved().on(2)
    walk.morning()
    walk.on(2, 18)
    return walk


START = training()
ENROLLED = Walk()
TOPICS = [f"{dialog.name}.{name}" for dialog in START.book.dialogs.values() for name in dialog.questions]


def at(topic: str) -> Walk:
    """A case whose open question is this one: at the intake a fresh one, else one that trains."""
    walk = (ENROLLED if topic.startswith("intake.") else START).fork()
    walk.state = apply(walk.state, Asked(at=walk.now, topic=topic))
    return walk


def test_every_worded_sign_has_a_phrase():
    english = START.book.languages["en"]
    heard = {found.flag for phrase in PHRASES.values() for found in flags(phrase, english).alerts}
    assert set(PHRASES) <= heard
    assert set(PHRASES) <= set(START.book.flags)


@pytest.mark.parametrize("topic", [*TOPICS, "idle"])
def test_topic_hears_every_sign(topic):
    for flag, phrase in PHRASES.items():
        walk = at(topic)
        expected = topic.startswith("intake.") and walk.book.flags[flag].expected_at_onset
        walk.hear(phrase)
        _heard(walk, flag, expected=expected)


def _heard(walk: Walk, flag: str, *, expected: bool) -> None:
    kinds = [type(fact) for fact in walk.last]
    flagged = {fact.flag for fact in walk.last if isinstance(fact, Flagged)}
    if expected:
        assert Noted in kinds
        return
    assert flag in flagged
    assert flag in {fact.flag for fact in walk.last if isinstance(fact, Alerted)}
    assert Prescribed not in kinds
    assert flag in {alert.flag for alert in walk.state.alerts.values() if alert.taken_by is None}
    entry = walk.book.flags[flag]
    if walk.book.tiers[entry.tier].holds:
        assert Held in kinds
        assert walk.state.hold is not None
        said = [line.key for e in walk.steps[-1].effects if e.to == ATHLETE for line in e.lines]
        assert (entry.advice or f"stop.{entry.tier}") in said
        assert not any(key.startswith("today.") for key in said)


ANSWERS = [
    ("intake.emergency", "yes", "screen-emergency"), ("intake.urgent", "yes", "screen-urgent"),
    ("intake.walk", "cannot walk", "cannot-walk"), ("intake.age", "under 18", "under-18"),
    ("intake.age", "16", "under-18"), ("morning.sudden", "yes", "new-symptom"), ("report.sudden", "yes", "new-symptom"),
    ("stop.sudden", "yes", "new-symptom"), ("doubt.settle", "yes", "new-symptom"), ("pain.score", "7", "rest-pain"),
    ("pain.score", "10", "rest-pain"), ("report.work", "3x8, full range, pain 7", "severe-pain"),
]  # fmt: skip


@pytest.mark.parametrize(("topic", "answer", "flag"), ANSWERS)
def test_answer_is_a_sign(topic, answer, flag):
    walk = at(topic)
    walk.plainly(answer)
    raised = [fact for fact in walk.events if isinstance(fact, Flagged)]
    assert flag in {fact.flag for fact in raised}
    assert walk.state.hold is not None
    assert any(alert.flag == flag for alert in walk.state.alerts.values())


@pytest.mark.parametrize(("topic", "answer"), [("pain.score", "6.5"), ("stop.sudden", "no"), ("morning.sudden", "no")])
def test_ordinary_answer_is_no_sign(topic, answer):
    walk = at(topic)
    walk.hear(answer)
    assert walk.state.hold is None
    assert walk.state.alerts == {}
