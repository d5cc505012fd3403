"""Each fault is spoilt into an otherwise good book, and must be found alone, at its own line."""

import pytest

from tests.core.rulebook.book_text import faults_of, line_of, spoilt

# What is replaced, by what, then the fault's path, the passage on its line, and what it says.
CASES = {
    "an unknown tie step": (
        'step = "run_off"',
        'step = "toss_up"',
        "ties[2].step",
        'step = "toss_up"',
        (
            "This must be one of `call_judge`, `fewest_penalty_points`, `judges_decision`, "
            "`named_maneuver`, `rail_work`, `rider_mark`, `run_off`, not `toss_up`."
        ),
    ),
    "an unknown key": (
        "points = 0.5",
        "points = 0.5\npoint = 1",
        "penalties[1].point",
        "point = 1",
        "There is no key `point` here; `points` may be meant.",
    ),
    "an unknown key like no other": (
        "places = 1",
        "colour = 1",
        "ties[2].colour",
        "colour = 1",
        "There is no key `colour` here; the keys are `source`, `step`, `maneuver`, `places`.",
    ),
    "a missing key": (
        "points = 5\n",
        "",
        "penalties[0].points",
        '[[penalties]]\ncode = "stop-late"',
        "The key `points` is missing here.",
    ),
    "a missing key of the book itself": (
        'title = "Plain pattern"\n',
        "",
        "title",
        'id = "plain-pattern"',
        "The key `title` is missing here.",
    ),
    "an empty source": (
        'source = "rail source"',
        'source = "  "',
        "rail.source",
        'source = "  "',
        "There must be text here; it is empty.",
    ),
    "text that ends with a blank": (
        'word = "good"',
        'word = "good "',
        "scale.mark.words[2].word",
        'word = "good "',
        "The text must not begin or end with a blank.",
    ),
    "text of two lines": (
        'wording = "Late again"',
        'wording = "Late\\nagain"',
        "faults[0].wording",
        'wording = "Late',
        "The text must be one line of ordinary letters.",
    ),
    "a code with a capital letter": (
        'code = "cone-tick"',
        'code = "Cone tick"',
        "penalties[1].code",
        'code = "Cone tick"',
        (
            "`Cone tick` must be small letters and digits, with single hyphens between words, such "
            "as `stop-late`."
        ),
    ),
    "points that do not go by halves": (
        "points = 0.5",
        "points = 0.3",
        "penalties[1].points",
        "points = 0.3",
        "Points go by halves, so 0.3 cannot be counted: write 0.5, 1, 1.5 and so on.",
    ),
    "points without end": (
        "ceiling = 100\n",
        "ceiling = inf\n",
        "scale.ceiling",
        "ceiling = inf",
        "Points go by halves, so inf cannot be counted: write 0.5, 1, 1.5 and so on.",
    ),
    "more points than a class has": (
        "ceiling = 100\n",
        "ceiling = 10000.5\n",
        "scale.ceiling",
        "ceiling = 10000.5",
        "No score of a class goes beyond 10000 points.",
    ),
    "text for points": (
        "points = 0.5",
        'points = "half"',
        "penalties[1].points",
        'points = "half"',
        "This must be a number of points, not text.",
    ),
    "true for points": (
        "points = 0.5",
        "points = true",
        "penalties[1].points",
        "points = true",
        "This must be a number of points, not true or false.",
    ),
    "a number for text": (
        'source = "rail source"',
        "source = 139",
        "rail.source",
        "source = 139",
        "This must be text in quotation marks, not the number 139.",
    ),
    "a date for text": (
        'edition = "2026-1"',
        "edition = 2026-01-01",
        "edition",
        "edition = 2026-01-01",
        "This must be text in quotation marks, not a date or time.",
    ),
    "a number for a choice": (
        'role = "adjusts"',
        "role = 1",
        "rail.role",
        "role = 1",
        "This must be one of `adjusts`, `none`, `ties`, not the number 1.",
    ),
    "text for true or false": (
        "crosses_outcomes = true",
        'crosses_outcomes = "yes"',
        "rail.crosses_outcomes",
        'crosses_outcomes = "yes"',
        "This must be true or false, not text.",
    ),
    "a tier of nought": (
        "tier = 2",
        "tier = 0",
        "outcomes[0].tier",
        "tier = 0",
        "This must be a whole number from 1 up.",
    ),
    "a half for a tier": (
        "tier = 2",
        "tier = 1.5",
        "outcomes[0].tier",
        "tier = 1.5",
        "This must be a whole number from 1 up.",
    ),
    "a table for a list": (
        (
            'words = [\n    { mark = -3, word = "very poor" },\n'
            '    { mark = 0, word = "correct" },\n    { mark = 1.5, word = "good" },\n]'
        ),
        'words = { mark = 0, word = "correct" }',
        "scale.mark.words",
        "words = {",
        "This must be a list, not a table.",
    ),
    "text for a table": (
        '    { mark = 0, word = "correct" },',
        '    "correct",',
        "scale.mark.words[1]",
        '"correct"',
        "This must be a table of keys and values, not text.",
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_a_book_is_refused_with_the_line_that_cannot_be_read(case: str) -> None:
    old, new, path, passage, sentence = CASES[case]
    text = spoilt(old, new)
    (fault,) = faults_of(text)
    assert (fault.path, fault.sentence) == (path, sentence)
    assert fault.line == line_of(text, passage)
