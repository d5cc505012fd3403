"""Every cell of every shipped points table, against the publication it comes from."""

from fractions import Fraction

import pytest

from tests.core.points.shipped import shipped, straight

# AQHA rule SHW260. From memory, but for four cells that were read: see the test of those.
AQHA = """
 3- 4  .5
 5- 9   1 .5
10-14   2  1 .5
15-19   3  2  1 .5
20-24   4  3  2  1 .5
25-29   5  4  3  2  1 .5
30-34   6  5  4  3  2  1 .5
35-39   7  6  5  4  3  2  1 .5
40-44   8  7  6  5  4  3  2  1 .5
45-60   9  8  7  6  5  4  3  2  1 .5
"""
# GCHSC, 2024 Class Points and High Point Tabulation, gchsc.org/high-point. The last figure of the
# larger classes is the point of those who show but do not place.
GCHSC = """
1- 1  2
2- 2  3 2
3- 3  4 3 2
4- 4  5 4 3 2
5- 5  6 5 4 3 2
6- 6  7 6 5 4 3 2
7- 7  7 6 5 4 3 2 1
9- 9  7 6 5 4 3 2 1 1 1
"""
# MPAHC Point System, mpahc.com/Showresults1.html
MPAHC = """
1- 1  1
2- 2  2 1
3- 3  3 2 1
4- 4  4 3 2 1
5- 5  5 4 3 2 1
6- 6  6 5 4 3 2 1
7-30  7 6 5 4 3 2
"""
# Intercollegiate Horse Shows Association, ihsainc.com; TSSA Austin, tssaaustin.com/points
SEVEN_FIVE_FOUR = """
1-25  7 5 4 3 2 1
"""
# Notre Dame Equestrian, notredameequestrian.com, an older page on the same association
SEVEN_FIVE_FOUR_TWO = """
1-25  7 5 4 2 1
"""
# IHSA national championship programme, 2022: eight riders a team
TEAM_CUP = """
8-16  10 8 7 6 5 4 3 2 1 .5
"""
# 2018 AMHA World Championship Program, page 12: classes of ten and more
AMHA = """
10-24  10 9 8 7 6 5 4 3 2 1
"""
# American Shetland Pony Club, Super All Around Amateur Award, shetlandminiature.com: the number of
# entries for first place under ten, and one point less for each place after it
ASPC = """
1- 1  1
2- 2  2 1
3- 3  3 2 1
4- 4  4 3 2 1
5- 5  5 4 3 2 1
6- 6  6 5 4 3 2 1
7- 7  7 6 5 4 3 2 1
8- 8  8 7 6 5 4 3 2 1
9- 9  9 8 7 6 5 4 3 2 1
10-24 10 9 8 7 6 5 4 3 2 1
"""
# AzRCHA, Award Rules, and California Cow Horse, rule 9: one for each horse defeated, and one more
# for the winner. The row of five is printed; the others follow from the rule.
ONE_PER_BEATEN = """
1- 1  1
3- 3  3 1 0
5- 5  5 3 2 1 0
8- 8  8 6 5 4 3 2 1 0
"""
# Hamilton County Parks: one point, and one for each rider beaten
HAMILTON = """
1- 1  1
7- 7  7 6 5 4 3 2 1
"""
# Treasure State Cutting Club: first the number in the class (8: 8), second 7, and so on down
TSCC = """
6- 6  6 5 4 3 2 1
8- 8  8 7 6 5 4 3 2 1
"""
# SRCHA, 2011: five to one for the first five, and for them one for each horse beaten; under five
# shown, from the number shown. Of ten, first has 5 + 9 as printed; the others follow from the rule.
SRCHA = """
1- 1  1
2- 2  3 1
3- 3  5 3 1
4- 4  7 5 3 1
5- 5  9 7 5 3 1
6- 6  10 8 6 4 2
10-10 14 12 10 8 6
"""
PUBLISHED = {
    "amha-world-awards": AMHA,
    "aqha-per-judge": AQHA,
    "aspc-all-around": ASPC,
    "gchsc-high-point": GCHSC,
    "hamilton-county-series": HAMILTON,
    "ihsa-individual": SEVEN_FIVE_FOUR,
    "ihsa-individual-older": SEVEN_FIVE_FOUR_TWO,
    "ihsa-team-cup": TEAM_CUP,
    "mpahc-high-point": MPAHC,
    "one-per-entry-beaten": ONE_PER_BEATEN,
    "srcha-year-end": SRCHA,
    "tscc-standings": TSCC,
    "tssa-high-point": SEVEN_FIVE_FOUR,
}


def _rows(table: str) -> list[tuple[int, list[Fraction]]]:
    """Every class size of a printed table with its row."""
    found = []
    for line in table.strip().splitlines():
        sizes, *cells = line.replace("- ", "-").split()
        first, last = map(int, sizes.split("-"))
        found += [(size, [Fraction(cell) for cell in cells]) for size in range(first, last + 1)]
    return found


CASES = [(name, size, row) for name, table in PUBLISHED.items() for size, row in _rows(table)]


@pytest.mark.parametrize(
    ("name", "size", "row"), CASES, ids=[f"{name}-{size}" for name, size, _ in CASES]
)
def test_every_place_of_every_class_size_earns_what_is_printed(
    name: str, size: int, row: list[Fraction]
) -> None:
    printed = [*row, *[Fraction(0)] * size][:size]
    assert straight(name, size) == printed


def test_every_shipped_table_stands_here_with_its_publication() -> None:
    assert sorted(shipped()) == sorted(PUBLISHED)


@pytest.mark.parametrize(
    ("size", "place", "points"), [(3, 1, "0.5"), (9, 3, "0"), (26, 3, "3"), (48, 10, "0.5")]
)
def test_the_four_examples_that_aqha_prints(size: int, place: int, points: str) -> None:
    # How AQHA Points Work, americashorse.tv, 2016
    assert straight("aqha-per-judge", size)[place - 1] == Fraction(points)


@pytest.mark.parametrize("size", [1, 2])
def test_there_are_no_aqha_points_under_three_entries(size: int) -> None:
    # How AQHA Points Work, americashorse.tv, 2016
    assert straight("aqha-per-judge", size) == [0] * size
