"""A text that the programme uses and a language does not have is told at the place that uses it."""

from coachbot.handbook import check, load
from coachbot.handbook.yamlfile import read

USED = [
    ("flow/morning.yaml", "morning.walking"),
    ("flow/morning.yaml", "choice.response.settled"),
    ("ladders/slider.yaml", "exercise.two-leg-slider"),
    ("ladders/thrust.yaml", "exercise.loaded-single-leg-hip-thrust"),
    ("programme/equipment.yaml", "equipment.bench"),
    ("programme/flags.yaml", "flag.sudden-pain"),
    ("programme/tiers.yaml", "tier.emergency"),
]


def test_every_missing_text_is_told(folder):
    (folder / "language" / "xx").mkdir()
    (folder / "language" / "xx" / "texts.yaml").write_text("hello: Hello\n")
    told = [(one.file, one.says) for one in check(folder)]
    for name, key in USED:
        says = f"{key} has no text in dialogs/language/xx/texts.yaml. Write it there."
        assert any(file == f"dialogs/{name}" and said.endswith(says) for file, said in told), key


def test_missing_text_stops_no_loading(folder):
    (folder / "language" / "xx").mkdir()
    (folder / "language" / "xx" / "texts.yaml").write_text("hello: Hello\n")
    assert load(folder).version


def test_missing_text_knows_its_line(folder):
    (folder / "language" / "xx").mkdir()
    (folder / "language" / "xx" / "texts.yaml").write_text("hello: Hello\n")
    page, _ = read(folder / "programme" / "flags.yaml", "flags")
    assert page is not None
    line = page.line(("gap",))
    assert (folder / "programme" / "flags.yaml").read_text().splitlines()[line - 1] == "gap:"
    says = "gap: flag.gap has no text in dialogs/language/xx/texts.yaml. Write it there."
    assert f"dialogs/programme/flags.yaml:{line}: {says}" in map(str, check(folder))
