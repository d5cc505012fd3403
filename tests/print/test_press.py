"""What every pressed paper is: the same bytes again, tagged, titled, and never a command."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.print.letters import BOX
from service.print.press import SIZES, Head, Sheet, Size, press
from service.print.programme import Programme, Ring, Turn
from service.print.words import Clock
from tests.print.reading import pages_of, read, text_of

MILLIMETRES = 72 / 25.4


def sheet(name: str = "Horsemanship, open", turns: int = 1) -> Sheet:
    turn = Turn(starts="08:30", number="7", name=name, judges="Judith Ames", entries="3", remark="")
    return Programme(
        head=Head(
            kind="Programme",
            show="Three Rivers Spring Show, Willow Bend Arena",
            subject="Saturday 9 May 2026",
            facts=(("Times", "those of America/Chicago"),),
            standing="As reckoned.",
        ),
        rings=(Ring(name="Main ring", turns=(turn,) * turns),),
    )


def test_the_same_paper_gives_the_same_bytes() -> None:
    assert press(sheet()) == press(sheet())
    assert press(sheet()) != press(sheet("Horsemanship, youth"))


def test_a_paper_says_what_it_is_in_which_language_and_is_tagged() -> None:
    found = read(press(sheet()))
    catalogue = found.root_object
    assert found.metadata is not None
    assert found.metadata.title == (
        "Programme: Saturday 9 May 2026, Three Rivers Spring Show, Willow Bend Arena"
    )
    assert found.metadata.creation_date is None
    assert str(catalogue["/Lang"]) == "en"
    assert "/StructTreeRoot" in catalogue
    xmp = found.xmp_metadata
    assert xmp is not None
    assert "pdfuaid" in xmp.stream.get_data().decode()


@pytest.mark.parametrize(("size", "width", "height"), [("a4", 210, 297), ("letter", 215.9, 279.4)])
def test_a_paper_has_the_size_that_is_asked_for(size: Size, width: float, height: float) -> None:
    assert set(SIZES) == {"a4", "letter"}
    box = read(press(sheet(), size)).pages[0].mediabox
    assert float(box.width) == pytest.approx(width * MILLIMETRES, abs=0.1)
    assert float(box.height) == pytest.approx(height * MILLIMETRES, abs=0.1)


def test_a_table_of_several_pages_has_its_head_and_its_number_on_each() -> None:
    pages = pages_of(press(sheet(turns=120)))
    assert len(pages) > 2
    for number, text in enumerate(pages, 1):
        assert "Judges" in text
        assert f"Page {number} of {len(pages)}" in text


def test_nothing_in_a_name_is_taken_for_a_command() -> None:
    name = '#panic("x") *b* _i_ @r <l> $1$ \\ // = ] #sys.inputs `c`'
    assert name.replace(" ", "") in text_of(press(sheet(name))).replace(" ", "")


def test_a_paper_says_what_a_box_stands_for_where_there_is_one() -> None:
    with_box, without = text_of(press(sheet("Yuki 花村"))), text_of(press(sheet()))
    assert f"Yuki {BOX}{BOX}" in with_box
    assert "stands for a letter that this typeface does not have" in with_box
    assert BOX not in without


@settings(max_examples=25, deadline=None)
@given(st.text(max_size=60))
def test_any_name_can_be_printed(name: str) -> None:
    assert press(sheet(name)).startswith(b"%PDF-")


def test_times_are_those_of_the_clock_at_the_show() -> None:
    clock = Clock(ZoneInfo("America/Chicago"))
    assert clock.moment(datetime(2026, 5, 9, 19, 3, tzinfo=UTC)) == "9 May 2026, 14:03 CDT"
