"""A level, stage, tier or flag that nobody can reach or that names nothing is told with file and line."""

import pytest

from coachbot.handbook import check

THIRD_THRUST = "needs: [bench]\n    sets: *sets\n    reps_low: *low\n    reps_high: *high\n    choice"
THIRD_SQUAT = "- exercise: split-squat\n    each_side: true\n    needs"

CASES = {
    "equipment nobody has": (
        "ladders/slider.yaml",
        ("needs: [sliders, weights]", "needs: [sliders, anvil]", "needs: [sliders, anvil]"),
        "levels.3: anvil is not in equipment.yaml, so no athlete reaches this level. Add it there.",
    ),
    "equipment of the choice": (
        "ladders/thrust.yaml",
        ("needs: [bench, weights]", "needs: [bench, anvil]", THIRD_THRUST),
        "levels.3: anvil is not in equipment.yaml, so no athlete reaches this level. Add it there.",
    ),
    "a level above no climb": (
        "ladders/bridge.yaml",
        ("climbs: true", "climbs: false", "- exercise: two-up-one-down-bridge"),
        "levels.2: cannot be reached, the ladder does not climb. Set climbs to true.",
    ),
    "the same level twice": (
        "ladders/squat.yaml",
        ("- exercise: front-foot-raised-split-squat", "- exercise: split-squat", THIRD_SQUAT),
        "levels.3: split-squat is a lower level already. Take one out.",
    ),
    "repetitions upside down": (
        "ladders/active-knee-extension.yaml",
        ("reps_high: {value: 12", "reps_high: {value: 8", "reps_low:"),
        "levels.1: reps_low is more than reps_high. Swap the two.",
    ),
    "a family under another name": (
        "ladders/hinge.yaml",
        ("family: hinge", "family: door", "family: door"),
        "family: is door, but the file is hinge. Use one name.",
    ),
    "an unknown group": (
        "ladders/hinge.yaml",
        ("group: hip-extensor", "group: arm", "group: arm"),
        "group: arm is not one of 'knee-flexor', 'hip-extensor', 'glute', 'quad', 'calf' or 'mobility'. "
        "Write one of these.",
    ),
    "neither true nor false": (
        "ladders/hinge.yaml",
        ("required: true", "required: perhaps", "required: perhaps"),
        "required: perhaps is neither true nor false. Write one of the two.",
    ),
    "a ladder of an unknown source": (
        "ladders/hinge.yaml",
        ("source: askling-2013", "source: nobody-1900", "source: nobody-1900"),
        "source nobody-1900 is in no sources file. Add it there, or write common-practice.",
    ),
    "a dose out of range": (
        "ladders/slider.yaml",
        ("{value: 4, unit: repetitions, range: [3, 6]", "{value: 40, unit: repetitions, range: [3, 6]", "{value: 40"),
        "levels.2.reps_low: value 40 is outside its range 3 to 6. Put a value inside the range, or widen the range.",
    ),
    "a stage out of order": (
        "programme/stages.yaml",
        ("- number: 2", "- number: 5", "- number: 5"),
        "2.number: is 5, but this is stage 2. Number them in order.",
    ),
    "a stage that does not climb": (
        "programme/stages.yaml",
        ("first: {value: 60", "first: {value: 50", "first: {value: 50"),
        "2: 50 to 80 % does not climb from 50 %. Raise it.",
    ),
    "a flag of no tier": (
        "programme/flags.yaml",
        ("tier: watch", "tier: someday", "tier: someday"),
        "missed-checkins.tier: someday is not one of 'emergency', 'same-day', 'soon' or 'watch'. "
        "Write one of these.",
    ),
    "a flag of no source": (
        "programme/flags.yaml",
        ("source: finucane-2020", "source: rumour", "source: rumour"),
        "bladder-bowel: source rumour is in no sources file. Add it there, or write common-practice.",
    ),
    "a missing tier": (
        "programme/tiers.yaml",
        ("watch:\n  name: watch", "later:\n  name: watch", "emergency:\n"),
        "the tier watch is missing. Add it.",
    ),
    "a tier under another name": (
        "programme/tiers.yaml",
        ("watch:\n  name: watch", "watch:\n  name: soon", "name: soon\n  holds: false\n  holds_progress: false"),
        "watch: its name is soon. Use one name.",
    ),
    "a source without a year": (
        "sources.yaml",
        ("year: 2020", "year: soon", "year: soon"),
        "hickey-2020.year: soon is not a whole number. Write digits, such as 4.",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_wrong_entry_is_told(case, breaks):
    name, (old, new, at), says = CASES[case]
    breaks(name, old, new, at, says)


@pytest.mark.parametrize(
    ("families", "group"),
    [(("slider", "nordic"), "knee-flexor"), (("hinge", "back-extension", "bridge"), "hip-extensor")],
)
def test_required_group_needs_a_family(families, group, folder):
    for family in families:
        (folder / "ladders" / f"{family}.yaml").unlink()
    told = [str(finding) for finding in check(folder)]
    assert f"dialogs/ladders: no family is required of the group {group}. Add one." in told


def test_ladder_needs_a_level(folder):
    path = folder / "ladders" / "hinge.yaml"
    path.write_text(path.read_text().partition("levels:")[0] + "levels: []\n")
    told = [finding.says for finding in check(folder)]
    assert "levels: is empty, so nothing can be trained. Write at least one level." in told
