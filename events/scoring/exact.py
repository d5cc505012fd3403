"""Exact fractions of points and money, from the plain numbers of the edge and back to them."""

from fractions import Fraction


def exact(number: float | str) -> Fraction:
    """The fraction that a number is written as: ``0.3`` is three tenths, ``"1/3"`` a third.

    ``ValueError`` for what is no number or not finite.
    """
    try:
        return Fraction(str(number))
    except (ValueError, ZeroDivisionError):
        raise ValueError(f"{number} is not a number that can be counted with") from None


def to_plain(value: Fraction) -> float:
    """The plain number nearest to ``value``: an ``int`` when it is whole."""
    return value.numerator if value.denominator == 1 else float(value)


def to_words(value: Fraction) -> str:
    """The value as people write it: ``212.5`` where a decimal is exact, else ``7/3``."""
    decimal = f"{to_plain(value):.12g}"
    return decimal if Fraction(decimal) == value else str(value)


def ordinal(number: int) -> str:
    """The number of a place as people say it: 1st, 2nd, 3rd, 4th, 11th, 21st."""
    teens = number % 100 in range(11, 14)
    ending = "th" if teens else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"
