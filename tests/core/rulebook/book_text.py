"""A small rule book of our own, with every kind of rule in it once, to be spoilt by the tests."""

from events.rulebook.fault import RuleBookFault, RuleBookRefused
from events.rulebook.load import load_toml

BOOK = """\
id = "plain-pattern"
edition = "2026-1"
title = "Plain pattern"
notice = "Check it against the handbook in force."

[scale]
base = 70
floor = 0
ceiling = 100
bands = [
    { lowest = 60, word = "fair" },
    { lowest = 70, word = "average" },
]
source = "scale source"

[scale.mark]
lowest = -3
highest = 3
step = 0.5
words = [
    { mark = -3, word = "very poor" },
    { mark = 0, word = "correct" },
    { mark = 1.5, word = "good" },
]
source = "mark source"

[scale.rider_mark]
name = "Form"
lowest = 0
highest = 5
step = 1
source = "rider source"

[[penalties]]
code = "stop-late"
points = 5
wording = "Stopped late"
source = "stop source"

[[penalties]]
code = "cone-tick"
points = 0.5
wording = "Touched a cone"
source = "cone source"

[[graded_penalties]]
code = "schooling"
lowest = 4.5
highest = 10
step = 0.5
wording = "Schooling"
source = "graded source"

[[caps]]
code = "simple-change"
highest = 0
wording = "Simple change"
source = "cap source"

[[outcomes]]
kind = "off_pattern"
placing = "below"
total = "kept"
in_class_size = true
wording = "Off the pattern"
tier = 2
source = "off pattern source"

[[outcomes]]
kind = "disqualified"
placing = "unplaced"
total = "none"
in_class_size = true
wording = "Disqualified"
source = "disqualified source"

[rail]
role = "adjusts"
crosses_outcomes = true
source = "rail source"

[[ties]]
step = "rail_work"
source = "tie source"

[[ties]]
step = "named_maneuver"
maneuver = "Stop"
source = "maneuver source"

[[ties]]
step = "run_off"
places = 1
source = "run-off source"

[panel]
method = "separate"
source = "panel source"

[[faults]]
code = "stop-late"
part = "performance"
wording = "Late again"
source = "fault source"
"""


def spoilt(old: str, new: str) -> str:
    """The book with one passage, which must stand in it once, replaced by another."""
    assert BOOK.count(old) == 1, f"{old!r} stands {BOOK.count(old)} times in the book"
    return BOOK.replace(old, new)


def faults_of(text: str) -> tuple[RuleBookFault, ...]:
    """The faults for which a text is refused; none if it is a good book."""
    try:
        load_toml(text)
    except RuleBookRefused as refused:
        return refused.faults
    return ()


def line_of(text: str, passage: str) -> int:
    """The line, counted from 1, on which a passage that stands once begins."""
    assert text.count(passage) == 1, f"{passage!r} stands {text.count(passage)} times"
    return text[: text.index(passage)].count("\n") + 1
