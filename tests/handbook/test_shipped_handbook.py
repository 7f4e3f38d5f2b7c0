"""The handbook that is shipped is whole, clean, and every number in it can be traced."""

import pytest

from coachbot.core.book import COMMON_PRACTICE
from coachbot.handbook import check, home, load

BOOK = load()


def test_nothing_is_wrong():
    assert [str(finding) for finding in check()] == []


@pytest.mark.parametrize("key", BOOK.numbers)
def test_number_can_be_traced(key):
    number = BOOK.numbers[key]
    assert number.key == key
    assert number.unit
    assert number.within
    assert number.source == COMMON_PRACTICE or number.source in BOOK.sources
    assert len(number.why) > 10 and number.why[0].isupper() and number.why.rstrip().endswith(".")


@pytest.mark.parametrize("key", BOOK.sources)
def test_source_says_how_it_is_known(key):
    source = BOOK.sources[key]
    assert source.authors and source.title and source.journal and source.where
    assert source.seen != "seen" or source.checked != "not read again"


def test_numbers_are_the_models_own():
    assert BOOK.numbers["pain.limit"] is BOOK.programme.pain.limit
    assert BOOK.numbers["stages.3.zones.1"] is BOOK.stages[2].zones[0]
    assert BOOK.numbers["slider.levels.2.sets"] is BOOK.ladders["slider"].level(2).sets
    assert BOOK.numbers["tiers.emergency.repeats"] is BOOK.tiers["emergency"].repeats


def test_handbook_cannot_be_changed():
    with pytest.raises(TypeError):
        BOOK.numbers["pain.limit"] = BOOK.numbers["pain.fast_stop"]
    with pytest.raises(ValueError):
        BOOK.programme.pain.limit.value = 9


def test_version_names_the_content(folder):
    assert load(folder).version == BOOK.version
    pain = folder / "programme" / "pain.yaml"
    pain.write_text(pain.read_text().replace("value: 4\n", "value: 3\n"))
    assert load(folder).version != BOOK.version


def test_plain_words_stay_words(folder):
    """``no``, ``off`` and ``08`` are words here, not values of another kind."""
    path = folder / "programme" / "equipment.yaml"
    path.write_text(path.read_text() + "- no\n- 08\n- off\n")
    assert load(folder).equipment[-3:] == ("no", "08", "off")


def test_installed_folder_comes_first(folder, monkeypatch):
    monkeypatch.setattr("coachbot.handbook.PACKAGE", folder.parent)
    assert home() == folder
    monkeypatch.setattr("coachbot.handbook.PACKAGE", folder / "flow")
    assert home() == folder / "dialogs"
