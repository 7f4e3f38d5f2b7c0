"""Numbers that were published stand in the handbook as published; the source is named beside each check."""

from coachbot.handbook import load

BOOK = load()
PAIN, MORNING, COURSE = BOOK.programme.pain, BOOK.programme.morning, BOOK.programme.course
STRENGTH, RUNNING = BOOK.programme.strength, BOOK.programme.running


def test_both_trial_arms_are_allowed():
    # Hickey 2020, doi 10.2519/jospt.2020.8895: the arms were pain 0 and pain up to 4
    assert PAIN.limit.value == 4
    assert PAIN.limit.source == "hickey-2020"
    assert 4 <= PAIN.limit.value < 4.5  # 4 passes, 4.5 and 5 do not
    assert PAIN.limit.allows(0) and PAIN.limit.allows(4)
    assert not PAIN.limit.allows(5.5)  # tendon programmes allow 5, no more: Silbernagel 2007, from memory


def test_real_change_of_pain():
    # Farrar 2001, doi 10.1016/S0304-3959(01)00349-9: a change of about 2 points is meaningful, so 1 still counts
    assert MORNING.rise_counts.value + 1 == 2
    assert BOOK.numbers["trend.least_change"].value == 2


def test_early_start_of_loading():
    # Bayer 2017, N Engl J Med 377:1300: start on day 2
    assert (COURSE.load_from_day.value, COURSE.load_from_day.source) == (2, "bayer-2017")


def test_early_running_needs_a_word():
    # Stares 2018, J Sci Med Sport 21:1019: running within 3 to 4 days against 5 to 6 days
    assert (COURSE.run_word_before_day.value, COURSE.run_word_before_day.source) == (5, "stares-2018")


def test_break_that_costs_a_level():
    # Presland 2018, Scand J Med Sci Sports 28:1775: fascicle gain gone two weeks after stopping
    assert (STRENGTH.level_down_after.value, STRENGTH.level_down_after.source) == (14, "presland-2018")


def test_fifteen_days_cost_a_level():
    # Presland 2018, as above: 14 days keep the level, 15 lower it; after 7 days only the sets are fewer
    assert STRENGTH.fewer_sets_after.value < STRENGTH.level_down_after.value < 15


def test_hard_lowering_waits_for_the_slider():
    # Hickey 2022, doi 10.1016/j.jsams.2022.06.002, second-hand: Nordic and single-leg slider after the two-leg slider
    first = {BOOK.ladders[family].level(1).exercise for family in ("slider", "nordic")}
    assert first == {"two-leg-slider"}
    assert [BOOK.ladders[family].level(2).exercise for family in ("slider", "nordic")] == [
        "single-leg-slider",
        "nordic-lower",
    ]


def test_trial_frequency_is_allowed():
    # Hickey 2020: supervised twice a week
    assert STRENGTH.per_week.allows(2)


def test_two_for_two():
    # Baechle & Earle, second-hand: two extra repetitions in the last set of two sessions
    assert (STRENGTH.two_for_two_reps.value, STRENGTH.two_for_two_sessions.value) == (2, 2)


def test_weight_steps():
    # ACSM 2009, from memory: 2 to 10 %
    assert 2 <= STRENGTH.load_step_low.value < STRENGTH.load_step_high.value == 10


def test_close_watch_after_return():
    # Wangensteen 2016, Am J Sports Med 44:2112: more than half within 25 days; two months: Zein 2024
    assert COURSE.watch_days.value == 56 and COURSE.watch_days.range[0] > 25


def test_day_of_the_second_look():
    # Jacobsen 2016, Br J Sports Med 50:431: examination at day 7, give or take one
    assert (COURSE.review_day.value, COURSE.review_day.range) == (7, (6, 8))


def test_lengthening_doses():
    # Askling 2013, doi 10.1136/bjsports-2013-092165: 3 x 12 twice a day, and 3 x 6 on one leg
    stretch = BOOK.ladders["active-knee-extension"].level(1)
    assert stretch.times_a_day is not None
    assert (stretch.sets.value, stretch.reps_high.value, stretch.times_a_day.value) == (3, 12, 2)
    hinge = BOOK.ladders["hinge"].level(1)
    assert (hinge.sets.value, hinge.reps_low.value) == (3, 6)


def test_published_nordic_doses_are_allowed():
    # Mjolsnes 2004, doi 10.1046/j.1600-0838.2003.00367.x: from 2 x 5 to 12, 10, 8
    level = BOOK.ladders["nordic"].level(2)
    assert level.sets.allows(2) and level.sets.allows(3)
    assert level.reps_low.allows(5) and level.reps_low.allows(8) and level.reps_high.allows(12)


def test_three_running_stages():
    # Hickey 2022, doi 10.4085/1062-6050-0707.20, from memory: to about 50 %, 70 to 80 % and 100 %
    assert [stage.last.value for stage in BOOK.stages] == [50, 80, 100]
    # common practice, no source: metres, steps and first speeds
    assert [[zone.value for zone in stage.zones] for stage in BOOK.stages] == [
        [20, 60, 20],
        [30, 50, 30],
        [40, 20, 25],
    ]
    assert [stage.first.value for stage in BOOK.stages] == [30, 60, 85]
    assert [stage.step.value for stage in BOOK.stages] == [10, 10, 5]
    assert BOOK.stages[2].step.range == (5, 5)


def test_sprinting_waits_for_a_word():
    # common practice, no source
    assert [stage.needs_word for stage in BOOK.stages] == [False, False, True]
    assert BOOK.stages[1].last.value == RUNNING.fast_above.value == 80
    assert [stage.most_steps_up.value for stage in BOOK.stages] == [2, 2, 1]
    assert [stage.leave_days.value for stage in BOOK.stages] == [1, 1, 2]
    assert [stage.leave_pain.value for stage in BOOK.stages] == [2, 0, 0]


def test_limits_of_fast_running():
    # common practice, no source: papers allow 0 to 2 above 70 % of speed
    sprinting = BOOK.stages[2]
    assert (sprinting.step_pain.value, sprinting.leave_pain.value, PAIN.fast_stop.value) == (0, 0, 1)
    assert sprinting.step_pain.range == PAIN.fast_stop.range == (0, 2)


def test_urgency_of_the_tiers():
    # Hanna 2005, Jt Comm J 31:68: about one hour for the most urgent; the rest common practice, no source
    emergency, same_day, soon = (BOOK.tiers[name] for name in ("emergency", "same-day", "soon"))
    assert emergency.repeat_every is not None and emergency.repeats is not None
    assert (emergency.repeat_every.value, emergency.repeats.value) == (5, 3)
    assert same_day.acknowledge_within is not None and same_day.acknowledge_within.value == 60
    assert soon.acknowledge_within is not None and soon.acknowledge_within.value == 24 * 60
    assert [tier.holds for tier in BOOK.tiers.values()] == [True, True, False, False]


# common practice, no source: who is urgent
EXPECTED = {
    "emergency": "bladder-bowel saddle-numbness both-legs chest-breath collapse cold-foot "
    "spreading-infection tight-thigh",
    "same-day": "sudden-pain cannot-walk big-bruise gap sitting-bone foot-drop pins-needles calf-swelling rest-pain "
    "under-18 new-symptom unclear-answer",
    "soon": "below-knee-cough night-pain worse-two-days limp-day-7 no-change-day-7 over-limit-twice morning-jump",
    "watch": "missed-checkins no-progress skipped-twice masked-scores",
}


def test_every_sign_has_its_tier():
    for tier, flags in EXPECTED.items():
        assert {BOOK.flags[flag].tier for flag in flags.split()} == {tier}


def test_only_the_onset_is_expected():
    assert [key for key, flag in BOOK.flags.items() if flag.expected_at_onset] == ["sudden-pain"]
