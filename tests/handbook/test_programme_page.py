"""The printed programme leaves no number, level, sign or source out and fits the terminal."""

from coachbot.handbook import load
from coachbot.pages.programme import WIDTH, programme_text

BOOK = load()
TEXT = programme_text(BOOK)
FLAT = " ".join(TEXT.split())


def test_page_fits_the_terminal():
    assert max(map(len, TEXT.splitlines())) <= WIDTH
    assert TEXT.endswith("\n") and not TEXT.endswith("\n\n")


def test_every_reason_is_printed():
    for number in BOOK.numbers.values():
        assert " ".join(number.why.split()) in FLAT, number.key


def test_every_plain_number_is_printed():
    for key, number in BOOK.numbers.items():
        if key.partition(".")[0] not in BOOK.ladders:
            assert f" {key} {number.value:g} " in FLAT


def test_every_level_and_sign_is_printed():
    for ladder in BOOK.ladders.values():
        assert all(f" {level.exercise}" in FLAT for level in ladder.levels)
    assert all(f" {flag} " in FLAT for flag in BOOK.flags)


def test_every_source_is_printed():
    for source in BOOK.sources.values():
        assert source.title in FLAT
        assert source.doi in FLAT


def test_one_number_reads_whole():
    line = next(line for line in TEXT.splitlines() if "pain.limit" in line)
    assert line.split(None, 1)[1].split("  ")[0].strip() == "4 on the 0-10 scale"
    assert "0 to 5" in line and line.endswith("Hickey et al. 2020")


def test_memory_is_admitted():
    line = next(line for line in TEXT.splitlines() if "stages.1.last" in line)
    assert line.endswith("Hickey et al. 2022, memory")


def test_dose_reads_as_written():
    assert "3 loaded-single-leg-slider: 3 x 4-6 a side; needs sliders, weights" in FLAT
    assert "1 active-knee-extension: 3 x 12 a side, 2 times a day" in FLAT
