"""Facts stored before a field was added load, and the new field has its default."""

import json

import pytest
from play import NOON

from coachbot.core import events as e

REASON = e.Reason(rule="run.start")
RUN = e.Run(stage=2, percent=80, up_to=80, repetitions=3, zones=(30, 50, 30), reason=REASON)
FACTS = [
    (e.Prescribed(at=NOON, number=1, day=NOON.date(), lines=(RUN,), reasons=(), handbook="x"), ("lines", 0),
     ("target",)),
    (e.Trained(at=NOON, session=1, line=0, done=True, complete=True, full_range=True, pain=0, words=""), (),
     ("weight", "seconds", "fast_metres")),
    (e.Loaded(at=NOON, family="hinge", kilograms=40, reason=REASON), (), ("repetitions",)),
    (e.Proposed(at=NOON, item="hinge", to=2, reason=REASON), (), ("weight",)),
    (e.Acted(at=NOON, by="dr-lee", line="note ok"), (), ("others",)),
    (e.Answered(at=NOON, topic="report.run", slot="run_top", value=80, words="80", day=NOON.date()), (), ("seconds",)),
]  # fmt: skip


@pytest.mark.parametrize(("fact", "where", "new"), FACTS)
def test_facts_without_new_fields_load(fact, where, new):
    stored = json.loads(e.dump(fact))
    part = stored
    for step in where:
        part = part[step]
    for field in new:
        del part[field]
    assert e.load(json.dumps(stored)) == fact
