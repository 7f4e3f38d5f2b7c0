"""A case taken to a place of its course in a few lines, for tests; it plays the whole conversation."""

from play import Play

CRITERIA = (
    "measure palpation 0 by hand",
    "measure strength pain 0",
    "measure flexibility pain 0",
    "measure knee extension 168 172 goniometer",
    "measure leg raise 82 84 goniometer",
    "measure sport test 0",
)


def train(play: Play, first: int, last: int, **report: str) -> Play:
    """Train every day from the first to the last day after the injury; fast running is opened when it waits."""
    for day in range(first, last + 1):
        play.on(day).morning()
        if play.state.session and play.state.session.open:
            play.report(**report)
        run = play.state.run
        if run and run.level in play.state.passed_run and "fast" not in play.state.opened:
            play.act("open fast good strength")
    return play


def gathering(**answers: str) -> tuple[Play, int]:
    """A case that collects its criteria, and the day after the injury on which it does."""
    play = Play().approved(**answers)
    day = 0
    while play.state.course != "testing":
        day += 1
        assert day < 60, play.state
        train(play, day, day)
    return play, day


def returned(**answers: str) -> tuple[Play, int]:
    """A case whose return was signed, and the day after the injury of the signature."""
    play, day = gathering(**answers)
    play.act("sign all criteria seen")
    return play, day
