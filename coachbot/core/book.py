"""The types of the handbook: every number, ladder, stage, flag and question the rules may use; it loads nothing."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from pydantic import BaseModel, ConfigDict, Field

from .speak import Texts

if TYPE_CHECKING:
    from .reading.language import Language

COMMON_PRACTICE = "common-practice"


class Frozen(BaseModel):
    """A value that never changes and takes no field it does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Sourced(Frozen):
    """One number of the programme. `key` is its address (``pain.limit``), filled in when the handbook is read."""

    value: float
    unit: str
    range: tuple[float, float]
    source: str
    why: str
    key: str = Field(default="")

    @property
    def within(self) -> bool:
        """Whether the value lies in the range a clinician may set."""
        return self.allows(self.value)

    def allows(self, value: float) -> bool:
        """Whether a clinician may set this value."""
        low, high = self.range
        return low <= value <= high


class Source(Frozen):
    """Where a number comes from. `seen` says whether it was read or is from memory."""

    authors: str
    year: int
    title: str
    journal: str
    doi: str
    where: str
    seen: Literal["seen", "memory", "second-hand"]
    checked: str


class Pain(Frozen):
    """Limits on the 0-10 scale at the injury site."""

    limit: Sourced
    fast_stop: Sourced
    rest_alarm: Sourced


class Morning(Frozen):
    """The next-morning rule: how far a morning score may rise above the usual one."""

    base_mornings: Sourced
    rise_counts: Sourced
    rise_rest: Sourced
    score_rest: Sourced


class Course(Frozen):
    """When the phases of a case begin, in days after the injury unless the unit says otherwise."""

    load_from_day: Sourced
    load_by_day: Sourced
    run_word_before_day: Sourced
    review_day: Sourced
    worse_mornings: Sourced
    silent_days: Sourced
    no_progress_days: Sourced
    skipped_twice: Sourced
    watch_days: Sourced
    pain_free_days_at_top: Sourced
    checkin_hour: Sourced
    report_hour: Sourced
    session_hour: Sourced
    ask_again_after: Sourced
    quiet_from: Sourced
    sign_again_after: Sourced
    masked_mornings: Sourced
    oldest_injury: Sourced
    doubt_wait: Sourced
    closed_tries: Sourced


class Strength(Frozen):
    """How often strength is trained and when a level is passed, repeated or lowered."""

    per_week: Sourced
    gap: Sourced
    sessions_per_level: Sourced
    over_limit_twice: Sourced
    fewer_sets_after: Sourced
    level_down_after: Sourced
    fewer_sets: Sourced
    two_for_two_reps: Sourced
    two_for_two_sessions: Sourced
    load_step_low: Sourced
    load_step_high: Sourced


class Running(Frozen):
    """How often running is done and how it climbs; speeds are % of the athlete's own top speed."""

    per_week: Sourced
    fast_above: Sourced
    fast_gap: Sourced
    gap_after_pain: Sourced
    steps_down: Sourced
    repetitions: Sourced
    top_speed: Sourced


class Stage(Frozen):
    """One running stage: three zones, the speeds it covers and the pain that lets a step or the stage pass."""

    number: int
    zones: tuple[Sourced, Sourced, Sourced]
    first: Sourced
    last: Sourced
    step: Sourced
    most_steps_up: Sourced
    step_pain: Sourced
    leave_pain: Sourced
    leave_days: Sourced
    needs_word: bool
    why: str


class Choice(Frozen):
    """The other exercise of a level, which the clinician may choose in its place; the dose is the level's own."""

    exercise: str
    loaded: bool = False
    needs: tuple[str, ...] = ()


class Level(Frozen):
    """One level of a ladder. Repetitions are asked between `reps_low` and `reps_high`.

    `times_a_day` is given where the work is done more than once a day.
    """

    exercise: str
    sets: Sourced
    reps_low: Sourced
    reps_high: Sourced
    each_side: bool = False
    loaded: bool = False
    needs: tuple[str, ...] = ()
    choice: Choice | None = None
    times_a_day: Sourced | None = None


class Ladder(Frozen):
    """One exercise family, from its easiest level to its hardest."""

    family: str
    group: Literal["knee-flexor", "hip-extensor", "glute", "quad", "calf", "mobility"]
    required: bool
    climbs: bool
    priority: int
    source: str
    why: str
    levels: tuple[Level, ...]

    def level(self, number: int) -> Level:
        """The level with this number, counted from 1."""
        return self.levels[number - 1]

    @property
    def top(self) -> int:
        """The number of the last level."""
        return len(self.levels)


TierName = Literal["emergency", "same-day", "soon", "watch"]


class Tier(Frozen):
    """How urgent a sign is: whether it holds the case, and how the clinicians are alerted."""

    name: TierName
    holds: bool
    holds_progress: bool
    acknowledge_within: Sourced | None
    repeat_every: Sourced | None
    repeats: Sourced | None
    source: str
    why: str


class Flag(Frozen):
    """One red flag or watch sign: its tier and whether the injury's own onset may explain it at intake.

    `advice` is the text said to the athlete when it is not the tier's own (``stop.<tier>``).
    """

    tier: TierName
    expected_at_onset: bool
    source: str
    why: str
    advice: str | None = None


class Arrow(Frozen):
    """One way out of a topic: taken when every guard holds, in the order written."""

    to: str
    when: tuple[str, ...] = ()


class Part(Frozen):
    """One value a question wants: its slot, the kind of answer, and the choices when it is a choice."""

    slot: str
    answer: str
    choices: tuple[str, ...] = ()
    many: bool = False
    optional: bool = False


class Question(Frozen):
    """One topic of a dialog: what is asked, the values wanted, and the ways out once they are all there."""

    ask: str
    parts: tuple[Part, ...]
    then: tuple[Arrow, ...]


class Dialog(Frozen):
    """One conversation: its questions by name and the ways in. `several`: one line may answer more than one question.

    `interlude`: it is laid over another conversation and returns to it.
    """

    name: str
    start: tuple[Arrow, ...]
    several: bool = False
    interlude: bool = False
    why: str
    questions: dict[str, Question]


class CourseArrow(Frozen):
    """One arrow of the course of a case."""

    trigger: str
    source: str
    dest: str
    when: tuple[str, ...] = ()


class CourseTable(Frozen):
    """The course of a case: its states in order and the arrows between them."""

    states: tuple[str, ...]
    initial: str
    arrows: tuple[CourseArrow, ...]


class Programme(Frozen):
    """All numbers of the programme, one field a file of ``dialogs/programme``."""

    pain: Pain
    morning: Morning
    course: Course
    strength: Strength
    running: Running


@dataclass(frozen=True, eq=False)
class Handbook:
    """All of ``dialogs/``, checked and frozen; `version` names exactly this content.

    `languages` (how answers are read), `offered` (those a person may pick) and `zones` (city names to time zones) are
    added before the first answer is read, so that the first question does not wait for them.
    """

    version: str
    programme: Programme
    numbers: Mapping[str, Sourced]
    stages: tuple[Stage, ...]
    ladders: Mapping[str, Ladder]
    equipment: tuple[str, ...]
    tiers: Mapping[str, Tier]
    flags: Mapping[str, Flag]
    sources: Mapping[str, Source]
    dialogs: Mapping[str, Dialog]
    course: CourseTable
    rights: Mapping[str, tuple[str, ...]]
    texts: Mapping[str, Texts] = field(default_factory=dict)
    languages: Mapping[str, "Language"] = field(default_factory=dict)
    offered: tuple[str, ...] = ()
    zones: Mapping[str, str] = field(default_factory=dict)

    def grounds(self, entry: str | None) -> tuple[str, str] | None:
        """Source key and why of an entry: a number (``pain.limit``), a ladder (``ladders.slider``) or a flag."""
        kind, _, name = (entry or "").partition(".")
        found: Sourced | Ladder | Flag | None = self.numbers.get(entry or "")
        if kind == "ladders":
            found = self.ladders.get(name)
        elif kind == "flags":
            found = self.flags.get(name)
        return (found.source, found.why) if found else None
