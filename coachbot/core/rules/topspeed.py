"""A top speed from what a clinician enters; it asks for no test and refuses what no sprint can be."""

from collections.abc import Sequence
from dataclasses import dataclass

from coachbot.core.sums.profile import video_sd
from coachbot.core.sums.splits import SplitRule, Splits, from_splits
from coachbot.core.sums.sprint import TopSpeed, from_device, from_flying, usable
from coachbot.core.turn import Turn

PERCENT = 100
PAIR = 2


@dataclass(frozen=True)
class Entered:
    """A top speed, and the tau in s that splits gave with it."""

    top: TopSpeed
    tau: float | None = None


def found(turn: Turn, method: str, numbers: Sequence[float], words: str) -> Entered | None:
    """The top speed of an entry; None when the entry is not understood.

    "device 8.9" (m/s), "flying 20 2.31 gates" (m, s, clock), "splits 10 1.90 20 3.05 30 4.09" (m, s in turn).
    Raises Refused for numbers that are no sprint.
    """
    entered: Entered | None = None
    if method == "device" and len(numbers) == 1:
        entered = Entered(from_device(numbers[0], turn.number("running_maths.device_error") / PERCENT))
    elif method == "flying" and len(numbers) == PAIR:
        run_up, tau = turn.number("running_maths.flying_run_up"), turn.number("running_maths.tau")
        entered = Entered(from_flying(numbers[0], numbers[1], _clock(turn, words), run_up, tau))
    elif method == "splits" and numbers and len(numbers) % PAIR == 0:
        top, fit = from_splits(Splits(tuple(numbers[::PAIR]), tuple(numbers[1::PAIR])), _rule(turn))
        entered = Entered(top, fit.runner.tau)
    if entered:
        low, high = turn.book.programme.running.top_speed.range
        usable(entered.top, low, high)
    return entered


def _clock(turn: Turn, words: str) -> float:
    """The standard deviation in s of the clock that is named; a stopwatch when none is."""
    if "gates" in words:
        return turn.number("running_maths.gates_sd")
    if "video" in words:
        return video_sd(turn.number("running_maths.video_frames"))
    return turn.number("running_maths.stopwatch_sd")


def _rule(turn: Turn) -> SplitRule:
    def number(name: str) -> float:
        return turn.number(f"running_maths.{name}")

    return SplitRule(
        fixed=number("start_offset"),
        free_gates=number("offset_free_gates"),
        fixed_gates=number("offset_fixed_gates"),
        far=number("offset_free_far"),
        free_error=number("fit_free_error") / PERCENT,
        fixed_error=number("fit_fixed_error") / PERCENT,
        most_miss=number("fit_most_miss"),
        least_tau=number("fit_least_tau"),
        most_tau=number("fit_most_tau"),
    )
