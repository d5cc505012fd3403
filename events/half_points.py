"""Scores are whole half points inside (``3`` is 1.5 points) and plain numbers at the JSON edge."""

HalfPoints = int
"""A score, mark or penalty counted in whole half points, so that sums are exact."""


def from_number(number: float) -> HalfPoints:
    """Half points of a plain number of points; ``ValueError`` unless it is a multiple of 0.5."""
    rest = number % 1  # exact, where doubling the largest floats would overflow
    if rest not in {0, 0.5}:  # also of what is no number, or not finite
        raise ValueError(f"{number} is not a multiple of 0.5")
    return 2 * int(number - rest) + int(2 * rest)


def to_number(half: HalfPoints) -> float:
    """The plain number of points of ``half`` half points: an ``int`` when it is whole."""
    return half // 2 if half % 2 == 0 else half / 2


def to_text(half: HalfPoints, *, signed: bool = False) -> str:
    """Points as people write them: ``71.5``, or ``+1.5`` when a sign is asked for."""
    return f"{to_number(half):+.12g}" if signed and half else f"{to_number(half):.12g}"
