"""Whether the parts of a rule book hold together."""

from collections.abc import Iterator

from events.half_points import HalfPoints, to_text
from events.rulebook.fault import Path, path_text
from events.rulebook.model import (
    FaultCode,
    GradedPenalty,
    MarkCap,
    MarkRange,
    OutcomeRule,
    Penalty,
    ProtestGround,
    RailRule,
    Scale,
    TieStep,
)
from events.rulebook.read import Reading

Found = Iterator[tuple[Path, str]]


def incoherences(reading: Reading) -> Found:
    """Every contradiction inside or between the parts that could be read."""
    for check in (
        _judging,
        _ranges,
        _words,
        _scale,
        _penalties,
        _caps,
        _codes,
        _outcomes,
        _rail,
        _ties,
    ):
        yield from check(reading)


def _ranges(reading: Reading) -> Found:
    for path, marks in reading.each(MarkRange):
        yield from _steps(path, marks.lowest, marks.highest, marks.step)
    for path, rule in reading.each(GradedPenalty):
        yield from _steps(path, rule.lowest, rule.highest, rule.step)


def _steps(path: Path, lowest: HalfPoints, highest: HalfPoints, step: HalfPoints) -> Found:
    span = f"from {to_text(lowest)} to {to_text(highest)}"
    if lowest > highest:
        yield (*path, "lowest"), f"The range runs {span}: the lowest is above the highest."
    elif step <= 0:
        yield (*path, "step"), f"The step is {to_text(step)}; it must be more than nought."
    elif (highest - lowest) % step:
        yield (*path, "step"), f"Steps of {to_text(step)} do not divide the range {span}."


def _words(reading: Reading) -> Found:
    for path, marks in reading.each(MarkRange):
        seen: set[HalfPoints] = set()
        for position, entry in enumerate(marks.words):
            place = (*path, "words", position, "mark")
            if entry.mark in seen:
                yield place, f"The mark {to_text(entry.mark)} has a word already."
            elif marks.step > 0 and not marks.holds(entry.mark):
                yield place, f"{to_text(entry.mark)} is not one of the marks of this range."
            seen.add(entry.mark)


def _judging(reading: Reading) -> Found:
    """A scored class needs a scale, and only a scored class has one."""
    judging = reading.given.get(("judging",), "scored")
    given = ("scale",) in reading.given
    if () not in reading.given:
        return
    if judging == "scored" and not given:
        yield ("scale",), "The key `scale` is missing here."
    if judging in {"placed", "timed"} and given:
        yield ("scale",), f"Nothing is marked in a class that is {judging}: it has no scale."


def _scale(reading: Reading) -> Found:
    scale = reading.at(("scale",), Scale)
    if scale is None:
        return
    floor, ceiling = scale.floor, scale.ceiling
    if floor is not None and ceiling is not None and floor >= ceiling:
        yield (
            ("scale", "ceiling"),
            f"The ceiling {to_text(ceiling)} must be above the floor {to_text(floor)}.",
        )
    elif floor is not None and scale.base < floor:
        yield (
            ("scale", "base"),
            f"The base {to_text(scale.base)} lies below the floor {to_text(floor)}.",
        )
    elif ceiling is not None and scale.base > ceiling:
        yield (
            ("scale", "base"),
            f"The base {to_text(scale.base)} lies above the ceiling {to_text(ceiling)}.",
        )
    yield from _bands(scale)


def _bands(scale: Scale) -> Found:
    seen: set[HalfPoints] = set()
    for position, band in enumerate(scale.bands):
        place = ("scale", "bands", position, "lowest")
        total = to_text(band.lowest)
        if band.lowest in seen:
            yield place, f"Another band begins at {total} already."
        elif scale.ceiling is not None and band.lowest > scale.ceiling:
            yield place, f"No total reaches {total}: the ceiling is {to_text(scale.ceiling)}."
        elif scale.floor is not None and band.lowest < scale.floor:
            yield place, f"No total falls to {total}: the floor is {to_text(scale.floor)}."
        seen.add(band.lowest)


def _penalties(reading: Reading) -> Found:
    for path, rule in reading.each(Penalty):
        if rule.points <= 0:
            yield (*path, "points"), _not_a_deduction(rule.code, rule.points)
    for path, graded in reading.each(GradedPenalty):
        if graded.lowest <= 0:
            yield (*path, "lowest"), _not_a_deduction(graded.code, graded.lowest)


def _not_a_deduction(code: str, points: HalfPoints) -> str:
    return (
        f"The penalty `{code}` takes off {to_text(points)}; write the points taken off as a "
        "number above nought, without a minus."
    )


def _caps(reading: Reading) -> Found:
    marks = reading.at(("scale", "mark"), MarkRange)
    for path, cap in reading.each(MarkCap):
        place = (*path, "highest")
        if marks is None or marks.step <= 0:
            continue
        if not marks.holds(cap.highest):
            yield place, f"{to_text(cap.highest)} is not one of the marks for a maneuver."
        elif cap.highest == marks.highest:
            yield (
                place,
                f"The cap `{cap.code}` caps nothing: {to_text(cap.highest)} is the highest mark.",
            )


def _codes(reading: Reading) -> Found:
    """A card names penalties and caps by code alone, so they share their codes; faults do not."""
    yield from _taken_codes(
        [
            *((path, rule.code) for path, rule in reading.each(Penalty)),
            *((path, rule.code) for path, rule in reading.each(GradedPenalty)),
            *((path, rule.code) for path, rule in reading.each(MarkCap)),
        ]
    )
    yield from _taken_codes([(path, rule.code) for path, rule in reading.each(FaultCode)])
    yield from _taken_codes([(path, rule.code) for path, rule in reading.each(ProtestGround)])


def _taken_codes(coded: list[tuple[Path, str]]) -> Found:
    owners: dict[str, Path] = {}
    for path, code in coded:
        owner = owners.setdefault(code, path)
        if owner != path:
            yield (*path, "code"), f"The code `{code}` is taken already, by {path_text(owner)}."


def _outcomes(reading: Reading) -> Found:
    seen: set[str] = set()
    for path, rule in reading.each(OutcomeRule):
        if rule.kind in seen:
            yield (*path, "kind"), f"The outcome `{rule.kind}` has a rule already."
        seen.add(rule.kind)
        if rule.placing == "below" and rule.total == "none":
            yield (
                (*path, "total"),
                f"The outcome `{rule.kind}` is placed, so it needs a total to be ranked by.",
            )
        if rule.placing == "below" and not rule.in_class_size:
            yield (
                (*path, "in_class_size"),
                f"The outcome `{rule.kind}` is placed, so it must count in the class size.",
            )
        if rule.placing == "unplaced" and rule.tier != 1:
            yield (
                (*path, "tier"),
                f"The outcome `{rule.kind}` is unplaced, so no tier can be given for it.",
            )


def _rail(reading: Reading) -> Found:
    rail = reading.at(("rail",), RailRule)
    if rail is None:
        return
    if rail.crosses_outcomes and rail.role != "adjusts":
        yield (
            ("rail", "crosses_outcomes"),
            f"Rail work with the role `{rail.role}` lifts no entry over another's outcome.",
        )
    steps = [tie.step for _, tie in reading.each(TieStep)]
    if rail.role == "ties" and "rail_work" not in steps:
        yield ("rail", "role"), "Rail work is to part ties, but `rail_work` is no tie step here."


def _ties(reading: Reading) -> Found:
    rail = reading.at(("rail",), RailRule)
    scale = reading.at(("scale",), Scale)
    seen: set[tuple[str, str | None]] = set()
    for path, tie in reading.each(TieStep):
        if (tie.step, tie.maneuver) in seen:
            yield (*path, "step"), f"The tie step `{tie.step}` stands here twice."
        seen.add((tie.step, tie.maneuver))
        yield from _named_maneuver(path, tie)
        if tie.step == "rail_work" and rail is not None and rail.role == "none":
            yield (*path, "step"), "Rail work cannot part a tie: its role in this book is `none`."
        if tie.step == "rider_mark" and scale is not None and scale.rider_mark is None:
            yield (*path, "step"), "A rider mark cannot part a tie: this scale has none."


def _named_maneuver(path: Path, tie: TieStep) -> Found:
    if tie.step == "named_maneuver" and tie.maneuver is None:
        yield (*path, "maneuver"), "The tie step `named_maneuver` must name its `maneuver`."
    if tie.step != "named_maneuver" and tie.maneuver is not None:
        yield (*path, "maneuver"), f"The tie step `{tie.step}` takes no `maneuver`."
