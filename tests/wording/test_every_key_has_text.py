"""Every text key that the program or the dialogs can say is in the texts, and no text lies unused."""

from census import HOLE, families, said, texts, wanted


def test_no_key_lacks_text():
    assert sorted(wanted() - set(texts())) == []


def test_no_text_lies_unused():
    assert sorted(set(texts()) - wanted()) == []


def test_computed_keys_are_all_known():
    assert {key for key in said() if HOLE in key} == set(families())


def test_census_sees_the_source():
    found = wanted()
    assert {"today.rest", "case.proposed", "because.morning.masked", "again.only-a-bound"} <= found
    assert {"because.week.gave_uneven", "echo.minutes", "desk.mode.signed", "stop.same-day"} <= found
