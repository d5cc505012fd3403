"""Pictures of reports, as SVG that also reads aloud."""

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined

from events.scoring.exact import to_words
from service.desk.reports import Agreement, Group

_LONGEST_BAR = 380
_FIRST_LETTERS = 32
_DEEPEST = Fraction(2)
"""Points from the judge's mark at which a cell is as dark as can be."""

_ENVIRONMENT = Environment(
    loader=PackageLoader("service.http", "pictures"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)


def spread_picture(of: Agreement) -> str:
    """A bar for every maneuver, as long as the judges' marks lie apart on average."""
    most = max((each.mean for each in of.spreads), default=Fraction(0)) or Fraction(1)
    bars = [
        {
            "name": _short(f"{each.maneuver}. {each.name}"),
            "says": f"Maneuver {each.maneuver}, {each.name}: {_about(each.mean)} points apart on "
            f"average over {each.entries} rides.",
            "width": int(each.mean / most * _LONGEST_BAR),
            "figure": _about(each.mean),
        }
        for each in of.spreads
    ]
    agreed = "not to be had" if of.concordance is None else f"{of.concordance:.2f}"
    heading = f"Seats {', '.join(of.seats)}: Kendall's W {agreed}"
    return _drawn("spread.svg.jinja", bars=bars, heading=heading, summary=_told(heading, bars))


def doubts_picture(of: Group) -> str:
    """A cell for every maneuver and learner, the darker the further the marks were off."""
    seats = [row.seat for row in of.rows]
    rows = [
        {
            "name": _short(f"{each.maneuver}. {each.name}"),
            "says": f"Maneuver {each.maneuver}, {each.name}: {_about(each.mean)} points off on "
            "average.",
            "cells": [
                {
                    "figure": _about(each.by_seat[seat]) if seat in each.by_seat else "-",
                    "depth": float(
                        min(each.by_seat.get(seat, Fraction(0)) / _DEEPEST, Fraction(1))
                    ),
                    "says": f"Seat {seat}, maneuver {each.maneuver}: "
                    + (
                        f"{_about(each.by_seat[seat])} points off"
                        if seat in each.by_seat
                        else "none"
                    ),
                }
                for seat in seats
            ],
        }
        for each in of.doubts
    ]
    return _drawn(
        "doubts.svg.jinja",
        rows=rows,
        seats=seats,
        against=of.against,
        summary=_told(f"Learners {', '.join(seats)}", rows),
    )


def _drawn(name: str, **given: Any) -> str:  # noqa: ANN401 - whatever the template shows
    return _ENVIRONMENT.get_template(name).render(**given)


def _told(heading: str, rows: Sequence[dict[str, Any]]) -> str:
    return " ".join([f"{heading}.", *(str(row["says"]) for row in rows)])


def _short(name: str) -> str:
    return name if len(name) <= _FIRST_LETTERS else f"{name[: _FIRST_LETTERS - 1]}…"


def _about(points: Fraction) -> str:
    """Points to the hundredth, without zeros that say nothing."""
    return to_words(Fraction(round(points * 100), 100))
