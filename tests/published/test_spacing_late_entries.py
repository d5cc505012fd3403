"""Late entries and sections against the rules of the bodies that print them."""

from events.scoring.draw_order import in_sections, with_late_entries


def test_late_entries_go_first_in_reverse_of_the_order_received() -> None:
    # American Mule Association, rule 101, General Show Rules
    late = with_late_entries(["1", "2"], ["8", "9"], "first_in_reverse")
    assert late == ("9", "8", "1", "2")


def test_late_entries_go_to_the_bottom() -> None:
    # cashcansbarrelracing.com, rules
    assert with_late_entries(["1", "2"], ["8", "9"], "bottom") == ("1", "2", "8", "9")


def test_classes_over_25_are_split() -> None:
    # American Mule Association, rule 101
    assert in_sections(25, 25) == (25,)
    assert in_sections(26, 25) == (13, 13)


def test_a_halter_class_is_split_at_45() -> None:
    # AMHA 2016 Rule Book, page 169
    assert in_sections(44, 44) == (44,)
    assert in_sections(45, 44) == (23, 22)
