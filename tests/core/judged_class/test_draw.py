from hypothesis import given
from hypothesis import strategies as st

from events.judged_class import events as happened
from events.judged_class.draw import drawn_by_lot, lot
from events.judged_class.evolve import fold

# As `printf 'three dice: 4 1 6:214' | sha256sum` of GNU coreutils 9.1 prints them, sorted.
SEED = "three dice: 4 1 6"
LOTS = {
    87: "250ea62b8f4dc88ccf91d5a365c45f31fa39c9bfa12f8629bfe4ccc17b488762",
    101: "546932dd457d5a6a22a4adf72c67e8d7fb9c997b72972b007e439b4bdc761dcb",
    5: "87533b6e6f8c893dfd5b39c71d99c08150afad87f3ca161705d329da67169867",
    214: "fe89fccf3fd4c6e19ecaa2d67a40bd1889cd763fd658b7878dca94775170a0f2",
}


def entered(*numbers: int) -> list[happened.ClassEvent]:
    return [
        happened.EntryAccepted(entry=f"e{number}", back_number=number, exhibitor=f"p{number}")
        for number in numbers
    ]


def test_a_lot_is_what_anybody_computes_with_sha256sum() -> None:
    assert {number: lot(SEED, number) for number in LOTS} == LOTS


def test_the_order_is_that_of_the_lots() -> None:
    state = fold(entered(5, 87, 101, 214))
    assert drawn_by_lot(state, SEED) == tuple(f"e{number}" for number in LOTS)


def test_a_scratched_entry_draws_no_lot() -> None:
    state = fold([*entered(5, 87), happened.EntryScratched(entry="e5")])
    assert drawn_by_lot(state, SEED) == ("e87",)


@given(
    numbers=st.sets(st.integers(min_value=1, max_value=9999), min_size=1, max_size=12),
    seed=st.text(max_size=12),
    data=st.data(),
)
def test_whoever_leaves_moves_no_other_two_past_each_other(
    numbers: set[int], seed: str, data: st.DataObject
) -> None:
    leaver = data.draw(st.sampled_from(sorted(numbers)))
    whole = drawn_by_lot(fold(entered(*numbers)), seed)
    rest = drawn_by_lot(fold(entered(*(numbers - {leaver}))), seed)
    assert rest == tuple(entry for entry in whole if entry != f"e{leaver}")


@given(numbers=st.permutations([3, 14, 15, 92, 65]), seed=st.text(max_size=12))
def test_the_order_of_entering_has_no_say(numbers: list[int], seed: str) -> None:
    assert drawn_by_lot(fold(entered(*numbers)), seed) == drawn_by_lot(
        fold(entered(3, 14, 15, 92, 65)), seed
    )
