"""Each fault is spoilt into an otherwise good book, and must be found alone, at its own line."""

import pytest

from tests.core.rulebook.book_text import BOOK, faults_of, line_of, spoilt

MARK = 'lowest = -3\nhighest = 3\nstep = 0.5\nwords = [\n    { mark = -3, word = "very poor" },'
RIDER = "highest = 5\nstep = 1\n"
GRADED = "lowest = 4.5\nhighest = 10\nstep = 0.5\n"
UNPLACED = 'kind = "disqualified"\nplacing = "unplaced"\ntotal = "none"\nin_class_size = true\n'

# What is replaced, by what, then the fault's path, the passage on its line, and what it says.
CASES = {
    "a step that does not divide the range": (
        RIDER,
        "highest = 5\nstep = 1.5\n",
        "scale.rider_mark.step",
        "step = 1.5",
        "Steps of 1.5 do not divide the range from 0 to 5.",
    ),
    "a graded step that does not divide the range": (
        GRADED,
        "lowest = 4.5\nhighest = 10\nstep = 2\n",
        "graded_penalties[0].step",
        "step = 2",
        "Steps of 2 do not divide the range from 4.5 to 10.",
    ),
    "a step of nought": (
        RIDER,
        "highest = 5\nstep = 0\n",
        "scale.rider_mark.step",
        "step = 0\n",
        "The step is 0; it must be more than nought.",
    ),
    "a lowest above the highest": (
        GRADED,
        "lowest = 10.5\nhighest = 10\nstep = 0.5\n",
        "graded_penalties[0].lowest",
        "lowest = 10.5",
        "The range runs from 10.5 to 10: the lowest is above the highest.",
    ),
    "a base below the floor": (
        "base = 70\n",
        "base = -0.5\n",
        "scale.base",
        "base = -0.5",
        "The base -0.5 lies below the floor 0.",
    ),
    "a base above the ceiling": (
        "base = 70\n",
        "base = 100.5\n",
        "scale.base",
        "base = 100.5",
        "The base 100.5 lies above the ceiling 100.",
    ),
    "a band above the ceiling": (
        'lowest = 70, word = "average"',
        'lowest = 101, word = "average"',
        "scale.bands[1].lowest",
        "lowest = 101",
        "No total reaches 101: the ceiling is 100.",
    ),
    "a band below the floor": (
        "lowest = 60,",
        "lowest = -1,",
        "scale.bands[0].lowest",
        "lowest = -1,",
        "No total falls to -1: the floor is 0.",
    ),
    "two bands from one total": (
        'lowest = 70, word = "average"',
        'lowest = 60, word = "average"',
        "scale.bands[1].lowest",
        'word = "average"',
        "Another band begins at 60 already.",
    ),
    "a word for a mark outside the range": (
        "mark = 1.5,",
        "mark = 3.5,",
        "scale.mark.words[2].mark",
        "mark = 3.5",
        "3.5 is not one of the marks of this range.",
    ),
    "a word for a mark between two steps": (
        RIDER,
        'highest = 5\nstep = 1\nwords = [\n    { mark = 2.5, word = "middling" },\n]\n',
        "scale.rider_mark.words[0].mark",
        "mark = 2.5",
        "2.5 is not one of the marks of this range.",
    ),
    "two words for one mark": (
        "mark = 1.5,",
        "mark = 0,",
        "scale.mark.words[2].mark",
        'word = "good"',
        "The mark 0 has a word already.",
    ),
    "a penalty of nought": (
        "points = 0.5",
        "points = 0",
        "penalties[1].points",
        "points = 0",
        (
            "The penalty `cone-tick` takes off 0; write the points taken off as a number above "
            "nought, without a minus."
        ),
    ),
    "a penalty written with a minus": (
        "points = 5",
        "points = -5",
        "penalties[0].points",
        "points = -5",
        (
            "The penalty `stop-late` takes off -5; write the points taken off as a number above "
            "nought, without a minus."
        ),
    ),
    "a graded penalty from nought": (
        "lowest = 4.5",
        "lowest = 0",
        "graded_penalties[0].lowest",
        "lowest = 0\nhighest = 10",
        (
            "The penalty `schooling` takes off 0; write the points taken off as a number above "
            "nought, without a minus."
        ),
    ),
    "a cap that is no mark": (
        "highest = 0\n",
        "highest = 4\n",
        "caps[0].highest",
        "highest = 4",
        "4 is not one of the marks for a maneuver.",
    ),
    "a cap that caps nothing": (
        'code = "simple-change"\nhighest = 0',
        'code = "simple-change"\nhighest = 3',
        "caps[0].highest",
        'highest = 3\nwording = "Simple change"',
        "The cap `simple-change` caps nothing: 3 is the highest mark.",
    ),
    "two penalties with one code": (
        'code = "cone-tick"',
        'code = "stop-late"',
        "penalties[1].code",
        'code = "stop-late"\npoints = 0.5',
        "The code `stop-late` is taken already, by penalties[0].",
    ),
    "a graded penalty with a penalty's code": (
        'code = "schooling"',
        'code = "cone-tick"',
        "graded_penalties[0].code",
        'code = "cone-tick"\nlowest',
        "The code `cone-tick` is taken already, by penalties[1].",
    ),
    "a cap with a penalty's code": (
        'code = "simple-change"',
        'code = "schooling"',
        "caps[0].code",
        'code = "schooling"\nhighest = 0',
        "The code `schooling` is taken already, by graded_penalties[0].",
    ),
    "two faults with one code": (
        "[[faults]]\n",
        '[[faults]]\ncode = "stop-late"\npart = "p"\nwording = "w"\nsource = "s"\n\n[[faults]]\n',
        "faults[1].code",
        'code = "stop-late"\npart = "performance"',
        "The code `stop-late` is taken already, by faults[0].",
    ),
    "an outcome with two rules": (
        'kind = "disqualified"',
        'kind = "off_pattern"',
        "outcomes[1].kind",
        'kind = "off_pattern"\nplacing = "unplaced"',
        "The outcome `off_pattern` has a rule already.",
    ),
    "a placed outcome without a total": (
        'total = "kept"',
        'total = "none"',
        "outcomes[0].total",
        'total = "none"\nin_class_size = true\nwording = "Off the pattern"',
        "The outcome `off_pattern` is placed, so it needs a total to be ranked by.",
    ),
    "a placed outcome outside the class size": (
        'in_class_size = true\nwording = "Off the pattern"',
        'in_class_size = false\nwording = "Off the pattern"',
        "outcomes[0].in_class_size",
        "in_class_size = false",
        "The outcome `off_pattern` is placed, so it must count in the class size.",
    ),
    "a tier for an unplaced outcome": (
        UNPLACED,
        UNPLACED + "tier = 3\n",
        "outcomes[1].tier",
        "tier = 3",
        "The outcome `disqualified` is unplaced, so no tier can be given for it.",
    ),
    "a rail that crosses outcomes without adjusting": (
        'role = "adjusts"',
        'role = "ties"',
        "rail.crosses_outcomes",
        "crosses_outcomes = true",
        "Rail work with the role `ties` lifts no entry over another's outcome.",
    ),
    "a rail that parts ties in no tie step": (
        (
            'role = "adjusts"\ncrosses_outcomes = true\nsource = "rail source"\n\n'
            '[[ties]]\nstep = "rail_work"'
        ),
        'role = "ties"\nsource = "rail source"\n\n[[ties]]\nstep = "judges_decision"',
        "rail.role",
        'role = "ties"',
        "Rail work is to part ties, but `rail_work` is no tie step here.",
    ),
    "a rail tie step without rail work": (
        'role = "adjusts"\ncrosses_outcomes = true',
        'role = "none"',
        "ties[0].step",
        'step = "rail_work"',
        "Rail work cannot part a tie: its role in this book is `none`.",
    ),
    "a rider mark tie step without a rider mark": (
        (
            '[scale.rider_mark]\nname = "Form"\nlowest = 0\nhighest = 5\nstep = 1\n'
            'source = "rider source"\n\n'
        ),
        '[[ties]]\nstep = "rider_mark"\nsource = "rider source"\n\n',
        "ties[0].step",
        'step = "rider_mark"',
        "A rider mark cannot part a tie: this scale has none.",
    ),
    "a tie step twice": (
        'step = "run_off"',
        'step = "rail_work"',
        "ties[2].step",
        'step = "rail_work"\nplaces = 1',
        "The tie step `rail_work` stands here twice.",
    ),
    "a named maneuver without a name": (
        'maneuver = "Stop"\n',
        "",
        "ties[1].maneuver",
        '[[ties]]\nstep = "named_maneuver"',
        "The tie step `named_maneuver` must name its `maneuver`.",
    ),
    "a maneuver that the tie step does not use": (
        "places = 1\n",
        'places = 1\nmaneuver = "Back"\n',
        "ties[2].maneuver",
        'maneuver = "Back"',
        "The tie step `run_off` takes no `maneuver`.",
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_a_book_is_refused_with_the_line_that_is_wrong(case: str) -> None:
    old, new, path, passage, sentence = CASES[case]
    text = spoilt(old, new)
    (fault,) = faults_of(text)
    assert (fault.path, fault.sentence) == (path, sentence)
    assert fault.line == line_of(text, passage)


def test_a_ceiling_that_is_not_above_the_floor_is_refused() -> None:
    text = spoilt("ceiling = 100\n", "ceiling = -1\n").replace("lowest = 60", "lowest = -1")
    first, *others = faults_of(text)
    assert (first.path, first.line) == ("scale.ceiling", line_of(text, "ceiling = -1"))
    assert first.sentence == "The ceiling -1 must be above the floor 0."
    assert {fault.path for fault in others} == {"scale.bands[0].lowest", "scale.bands[1].lowest"}


def test_all_faults_are_told_at_once_in_the_order_of_their_lines() -> None:
    text = (
        spoilt("base = 70", "base = 170")
        .replace('code = "cone-tick"', 'code = "stop-late"')
        .replace('step = "run_off"', 'step = "toss_up"')
        .replace("crosses_outcomes = true", "cross_outcomes = true")
    )
    faults = faults_of(text)
    assert [fault.path for fault in faults] == [
        "scale.base",
        "penalties[1].code",
        "rail.cross_outcomes",
        "ties[2].step",
    ]
    lines = [fault.line for fault in faults]
    assert lines == sorted(line for line in lines if line is not None)


def test_the_small_book_itself_is_good() -> None:
    assert faults_of(BOOK) == ()


def test_a_range_of_one_mark_only_holds_together() -> None:
    assert faults_of(spoilt(RIDER, "highest = 0\nstep = 1\n")) == ()


def test_a_cap_is_not_held_against_marks_that_cannot_be_read() -> None:
    text = spoilt("lowest = -3\n", "lowest = 0.3\n").replace("highest = 0\n", "highest = 40\n")
    assert [fault.path for fault in faults_of(text)] == ["scale.mark.lowest"]


def test_marks_without_a_step_are_told_once() -> None:
    text = spoilt(MARK, MARK.replace("step = 0.5", "step = 0"))
    assert [fault.path for fault in faults_of(text)] == ["scale.mark.step"]


def test_a_scale_without_bounds_holds_together() -> None:
    assert faults_of(spoilt("floor = 0\nceiling = 100\n", "")) == ()


def test_a_rail_that_cannot_be_read_is_not_held_against_the_tie_steps() -> None:
    text = spoilt('role = "adjusts"', 'role = "sometimes"')
    assert [fault.path for fault in faults_of(text)] == ["rail.role"]


@pytest.mark.parametrize("judging", ["placed", "timed"])
def test_a_class_in_which_nothing_is_marked_has_no_scale(judging: str) -> None:
    found = [fault.sentence for fault in faults_of(f'judging = "{judging}"\n{BOOK}')]
    assert f"Nothing is marked in a class that is {judging}: it has no scale." in found
