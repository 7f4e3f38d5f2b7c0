"""A score told in a check-in that is not finished is not hidden from the clinician until it is."""


def line(clinic) -> str:
    return next(line for line in clinic.say("digest").splitlines() if line.startswith("Sam - "))


def test_begun_check_in_shows_its_score(clinic):
    clinic.approved("Sam")
    clinic.on(2)
    clinic.hear("sam", "6")
    assert line(clinic).endswith("; check-in begun, not finished: walking pain 6 of 10")
    clinic.hear("sam", "no")
    assert "check-in begun" not in clinic.say("digest")
