"""Rule books that hold together, and texts that nearly do."""

from typing import Any, Literal

from hypothesis import strategies as st

from events.rulebook import model
from tests.core.rulebook.book_text import BOOK

LETTERS = st.characters(exclude_categories=("Cc", "Cs", "Zs", "Zl", "Zp"))
TEXT = st.text(LETTERS, min_size=1, max_size=12)
SLUG = st.from_regex(r"[a-z0-9]{1,6}(-[a-z0-9]{1,4}){0,2}", fullmatch=True)
COUNT = st.integers(1, 20)


def _optional(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | strategy


@st.composite
def mark_ranges(draw: st.DrawFn) -> model.MarkRange:
    lowest, step = draw(st.integers(-40, 40)), draw(st.integers(1, 5))
    marks = range(lowest, lowest + step * draw(st.integers(1, 8)) + 1, step)
    worded = draw(st.lists(st.sampled_from(marks), unique=True, max_size=3))
    return model.MarkRange(
        lowest=marks[0],
        highest=marks[-1],
        step=step,
        words=tuple(model.MarkWord(mark=mark, word=draw(TEXT)) for mark in worded),
        source=draw(TEXT),
    )


@st.composite
def rider_marks(draw: st.DrawFn) -> model.RiderMark:
    marks = draw(mark_ranges())
    return model.RiderMark(
        name=draw(TEXT),
        lowest=marks.lowest,
        highest=marks.highest,
        step=marks.step,
        words=marks.words,
        source=marks.source,
    )


@st.composite
def scales(draw: st.DrawFn) -> model.Scale:
    base = draw(st.integers(-300, 300))
    floor = draw(_optional(st.integers(base - 200, base)))
    ceiling = draw(_optional(st.integers(base + 1, base + 200)))
    bands = draw(st.lists(st.integers(base, base + 1), unique=True, max_size=2))
    return model.Scale(
        base=base,
        mark=draw(mark_ranges()),
        rider_mark=draw(_optional(rider_marks())),
        floor=floor,
        ceiling=ceiling,
        bands=tuple(model.Band(lowest=lowest, word=draw(TEXT)) for lowest in bands),
        source=draw(TEXT),
    )


@st.composite
def graded_penalties(draw: st.DrawFn, code: str) -> model.GradedPenalty:
    lowest, step = draw(st.integers(1, 20)), draw(st.integers(1, 4))
    return model.GradedPenalty(
        code=code,
        lowest=lowest,
        highest=lowest + step * draw(st.integers(0, 9)),
        step=step,
        wording=draw(TEXT),
        source=draw(TEXT),
    )


@st.composite
def outcomes(draw: st.DrawFn, kind: model.OutcomeKind) -> model.OutcomeRule:
    below = draw(st.booleans())
    return model.OutcomeRule(
        kind=kind,
        placing="below" if below else "unplaced",
        total=draw(st.sampled_from(("kept", "zero") if below else ("kept", "zero", "none"))),
        in_class_size=below or draw(st.booleans()),
        wording=draw(TEXT),
        tier=draw(COUNT) if below else 1,
        source=draw(TEXT),
    )


@st.composite
def rail_and_ties(
    draw: st.DrawFn, scale: model.Scale
) -> tuple[model.RailRule, tuple[model.TieStep, ...]]:
    role: Literal["none", "ties", "adjusts"] = draw(st.sampled_from(("none", "ties", "adjusts")))
    rail = model.RailRule(
        role=role, crosses_outcomes=role == "adjusts" and draw(st.booleans()), source=draw(TEXT)
    )
    names: list[model.TieStepName] = ["fewest_penalty_points", "run_off", "judges_decision"]
    names += ["rider_mark"] if scale.rider_mark else []
    names = draw(st.lists(st.sampled_from(names), unique=True))
    names += ["rail_work"] if role == "ties" or (role == "adjusts" and draw(st.booleans())) else []
    steps = [
        model.TieStep(step=name, places=draw(_optional(COUNT)), source=draw(TEXT)) for name in names
    ]
    named = draw(st.lists(TEXT, unique=True, max_size=2))
    steps += [
        model.TieStep(step="named_maneuver", maneuver=name, source=draw(TEXT)) for name in named
    ]
    return rail, tuple(draw(st.permutations(steps)))


@st.composite
def rule_books(draw: st.DrawFn) -> model.RuleBook:
    scale = draw(scales())
    rail, ties = draw(rail_and_ties(scale))
    codes = draw(st.lists(SLUG, unique=True, min_size=4, max_size=6))
    lower_marks = range(scale.mark.lowest, scale.mark.highest, scale.mark.step)
    kinds = draw(st.lists(st.sampled_from(OUTCOME_KINDS), unique=True))
    return model.RuleBook(
        id=draw(SLUG),
        edition=draw(SLUG),
        title=draw(TEXT),
        notice=draw(TEXT),
        scale=scale,
        rail=rail,
        ties=ties,
        panel=model.PanelRule(method="separate", source=draw(TEXT)),
        outcomes=tuple(draw(outcomes(kind)) for kind in kinds),
        penalties=tuple(
            model.Penalty(
                code=code, points=draw(st.integers(1, 40)), wording=draw(TEXT), source=draw(TEXT)
            )
            for code in codes[2:]
        ),
        graded_penalties=(draw(graded_penalties(codes[0])),),
        caps=(
            model.MarkCap(
                code=codes[1],
                highest=draw(st.sampled_from(lower_marks)),
                wording=draw(TEXT),
                source=draw(TEXT),
            ),
        ),
        faults=tuple(
            model.FaultCode(code=code, part=draw(TEXT), wording=draw(TEXT), source=draw(TEXT))
            for code in draw(st.lists(SLUG, unique=True, max_size=3))
        ),
    )


@st.composite
def spoilt_texts(draw: st.DrawFn) -> str:
    """The small book with a passage taken out and something else put in its place."""
    start = draw(st.integers(0, len(BOOK)))
    end = draw(st.integers(start, min(len(BOOK), start + 200)))
    put = draw(st.lists(st.sampled_from(SCRAPS) | st.text(max_size=3), max_size=8))
    return BOOK[:start] + "".join(put) + BOOK[end:]


OUTCOME_KINDS: tuple[model.OutcomeKind, ...] = (
    "off_pattern",
    "severe_fault",
    "zero",
    "no_score",
    "disqualified",
    "excused",
    "missed_gate",
    "no_time",
)
SCRAPS = (
    *("[", "]", "[[", "]]", "{", "}", '"', "'", '"""', "'''", "=", ".", ",", "#", "\n", "\\"),
    *("0.3", "1e999", "nan", "true", "1979-05-27", "points", "[[ties]]\n", "[rail]\n", "a.b"),
)
