import tomllib
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.rulebook.fault import Path
from events.rulebook.lines import Lines

# Every whole number in this text is the line on which it stands.
NUMBERED = '''\
first = 1   # a comment with "quotes", [brackets] = and {braces}
dotted.key = 2
"quoted.key" = 3
'plain quoted' . "with \\"escape\\"" = 4
text = "a \\" and a # and a ] and a }"
literal = 'C:\\path\\'
several = """
line = 99
[table]
a \\""" quote, two at the end"""""
plain_several = \'\'\'
x = 99''
\'\'\'
date = 1979-05-27 07:32:00 # a date with a blank in it
after = 15
list = [16, 16, [16],
    17, # ] not yet

    { a = 19, b = [19] }, "]",
    [
        21, 21.5,
    ],
]
empty = []
nothing = {}
inline = { x = 26, y.z = 26, w = { v = 26 } }

[table]
a = 29
  [ table . sub ]  # spaced
b = 31

[[array]]
a = 34
[array.inside]
b = 36
[[array.below]]
c = 38
[[array.below]]
c = 40

[[array]]
a = 43

    [[array.below]]
    c = 46

[deep.er.still]
d = 49
'''


def _numbers(value: object, path: Path = ()) -> Iterator[tuple[Path, int]]:
    match value:
        case dict():
            for key, inner in value.items():
                yield from _numbers(inner, (*path, key))
        case list():
            for position, inner in enumerate(value):
                yield from _numbers(inner, (*path, position))
        case int():
            yield path, value
        case _:
            return


def test_every_number_stands_on_the_line_that_it_names() -> None:
    lines = Lines(NUMBERED)
    numbers = list(_numbers(tomllib.loads(NUMBERED)))
    assert len(numbers) == 24
    assert {path: lines.of(path) for path, _ in numbers} == dict(numbers)


@pytest.mark.parametrize(
    ("path", "line"),
    [
        ((), 1),
        (("table",), 28),
        (("table", "sub"), 30),
        (("array",), 33),
        (("array", 0), 33),
        (("array", 1), 42),
        (("array", 0, "below", 1), 39),
        (("array", 1, "below", 0), 45),
        (("deep",), 48),
        (("deep", "er"), 48),
        (("dotted",), 2),
        (("list", 5), 19),
        (("list", 6), 20),
        (("inline",), 26),
    ],
)
def test_what_holds_other_things_stands_where_it_begins(path: Path, line: int) -> None:
    assert Lines(NUMBERED).of(path) == line


@pytest.mark.parametrize(
    ("path", "line"),
    [(("missing",), 1), (("table", "c"), 28), (("array", 1, "b"), 42), (("list", 4, "c", 0), 19)],
)
def test_what_is_missing_stands_where_it_should_have_been(path: Path, line: int) -> None:
    assert Lines(NUMBERED).of(path) == line


def test_an_array_of_tables_under_a_table_of_another_keeps_its_own_count() -> None:
    text = "[[a]]\n[[a.b.c]]\nx = 3\n[[a.b.c]]\nx = 5\n[[a]]\n[[a.b.c]]\nx = 8\n"
    lines = Lines(text)
    assert all(lines.of(path) == line for path, line in _numbers(tomllib.loads(text)))


FORMS = [
    "{key} = {line}",
    "{key}.of.it = {line} # = [",
    "{key} = {{ a = {line}, b = [{line}, {line}] }}",
    '{key} = [ "#]", [ {line} ] ]',
    '"{key} \\\\" = {line}',
    "[table_{key}]\ninside = {next}",
    "[[tables]]\n{key} = {next}",
    "[[tables.more]]\n{key} = {next}",
    '{key} = """\n{line} = 0\n[x]"""',
    "# {key} = [",
    "",
    "{key} = [\n  {next},\n  # [\n]",
]


@given(st.lists(st.sampled_from(FORMS), max_size=25))
def test_numbers_name_their_lines_in_whatever_order_a_text_is_laid_out(forms: list[str]) -> None:
    text, line = "[[tables]]\n", 2
    for count, form in enumerate(forms):
        text += form.format(key=f"k{count}", line=line, next=line + 1) + "\n"
        line = text.count("\n") + 1
    lines = Lines(text)
    numbers = dict(_numbers(tomllib.loads(text)))
    assert {path: lines.of(path) for path in numbers} == numbers
