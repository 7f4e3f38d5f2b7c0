"""A number that is wrong is told with file, line, what is wrong and what to do."""

import pytest

from coachbot.handbook import check, load

LIMIT = """limit:
  value: 4
  unit: "0-10"
  range: [0, 5]
  source: hickey-2020
  why: The trial"""
GIVEN = "value: 4\n"

CASES = {
    "outside its range": (
        (GIVEN, "value: 9\n", "value: 9"),
        "limit: value 9 is outside its range 0 to 5. Put a value inside the range, or widen the range.",
    ),
    "below its range": (
        (GIVEN, "value: -1\n", "value: -1"),
        "limit: value -1 is outside its range 0 to 5. Put a value inside the range, or widen the range.",
    ),
    "no number at all": (
        (GIVEN, "value: nan\n", "value: nan"),
        "limit: value nan is outside its range 0 to 5. Put a value inside the range, or widen the range.",
    ),
    "a word": (
        (GIVEN, "value: four\n", "value: four"),
        "limit.value: four is not a number. Write digits, such as 4 or 2.5.",
    ),
    "a comma": (
        (GIVEN, 'value: "4,5"\n', "value:"),
        "limit.value: 4,5 is not a number. Write digits, such as 4 or 2.5.",
    ),
    "nothing": (
        (GIVEN, "value:\n", "value:"),
        "limit.value: has no number. Write digits, such as 4 or 2.5.",
    ),
    "no value": (
        ("  value: 4\n", "", "limit:"),
        "limit.value: is missing. Add it.",
    ),
    "no unit": (
        ('  unit: "0-10"\n', "", "limit:"),
        "limit.unit: is missing. Add it.",
    ),
    "no range": (
        ("  range: [0, 5]\n", "", "limit:"),
        "limit.range: is missing. Add it.",
    ),
    "no source": (
        ("  source: hickey-2020\n", "", "limit:"),
        "limit.source: is missing. Add it.",
    ),
    "no why": (
        (LIMIT, LIMIT.replace("why: The trial", "why:\n  # The trial"), "why:"),
        "limit.why: has no text. Write some.",
    ),
    "an unknown source": (
        ("source: hickey-2020", "source: hickey-2021", "source: hickey-2021"),
        "limit: source hickey-2021 is in no sources file. Add it there, or write common-practice.",
    ),
    "a range upside down": (
        ("range: [0, 5]", "range: [5, 0]", "range: [5, 0]"),
        "limit: range 5 to 0 is no range. Write the lower end first, then the upper end.",
    ),
    "a range without an end": (
        ("range: [0, 5]", "range: [0, inf]", "range: [0, inf]"),
        "limit: range 0 to inf is no range. Write the lower end first, then the upper end.",
    ),
    "a range of one": (
        ("range: [0, 5]", "range: [0]", "range: [0]"),
        "limit.range.2: is missing. Add it.",
    ),
    "a range of three": (
        ("range: [0, 5]", "range: [0, 4, 5]", "range: [0, 4, 5]"),
        "limit.range: has too many values. Take the last ones out.",
    ),
    "an unknown field": (
        (GIVEN, "value: 4\n  colour: red\n", "colour: red"),
        "limit.colour: is not known here. Check the spelling, or take it out.",
    ),
    "a field of the loader": (
        (GIVEN, "value: 4\n  key: mine\n", "key: mine"),
        "limit.key: is not known here. Check the spelling, or take it out.",
    ),
    "a misspelt number": (
        ("limit:\n", "limitt:\n", "limitt:"),
        "limitt: is not known here. Check the spelling, or take it out.",
    ),
    "a bare value": (
        (LIMIT, "limit: 4\nnote:\n  why: The trial", "limit: 4"),
        "limit: must be a group of named values. Compare it with its neighbours.",
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_wrong_number_is_told(case, breaks):
    (old, new, at), says = CASES[case]
    breaks("programme/pain.yaml", old, new, at, says)


def test_every_finding_is_listed(folder):
    pain = folder / "programme" / "pain.yaml"
    pain.write_text(pain.read_text().replace("value: 4\n", "value: 9\n").replace("value: 7\n", "value: 99\n"))
    (folder / "programme" / "morning.yaml").write_text("rise_counts: 1\n")
    told = [str(finding) for finding in check(folder)]
    assert any("limit: value 9 " in one for one in told)
    assert any("rest_alarm: value 99 " in one for one in told)
    assert any(one.startswith("dialogs/programme/morning.yaml:1: base_mornings: is missing") for one in told)


def test_numbers_of_further_files_are_checked(folder):
    own = "share:\n  value: 0.5\n  unit: share\n  range: [0, 1]\n  source: common-practice\n  why: A half.\n"
    (folder / "programme" / "extra.yaml").write_text(own)
    assert load(folder).numbers["extra.share"].value == 0.5
    (folder / "programme" / "extra.yaml").write_text(own.replace("0.5", "2"))
    says = "share: value 2 is outside its range 0 to 1. Put a value inside the range, or widen the range."
    assert f"dialogs/programme/extra.yaml:2: {says}" in map(str, check(folder))


def test_a_source_stands_once(folder):
    first = (folder / "sources.yaml").read_text()
    entry = first[first.index("hickey-2020:") : first.index("hickey-2022:")]
    (folder / "sources_more.yaml").write_text(entry)
    says = "dialogs/sources_more.yaml:1: hickey-2020: stands in another file too. Keep one of the two."
    assert says in map(str, check(folder))
