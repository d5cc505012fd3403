"""On whose word a correction rests, and official results are opened again."""

from collections.abc import Callable

import msgspec
import pytest

from events.envelope import Actor
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.events import Authority
from tests.core.books import PLACED
from tests.core.judged_class.scene import OFFICE, STEWARD, Scene, correction, penalty, ridden

PROTEST = ask.FileProtest(
    protest="t1", filed_by="p1", ground="sums", statement="sha256:wrong", fee_paid=True
)


def ruled(verdict: happened.Verdict) -> ask.RuleProtest:
    return ask.RuleProtest(protest="t1", verdict=verdict, reason="sha256:added-wrongly")


def correcting(authority: Authority, protest: str | None) -> ask.MakeCorrection:
    fact = penalty("A", "e1", "p1", code="tick")
    return correction("c1", fact, authority=authority, protest=protest)


def reopening(authority: Authority, protest: str | None) -> ask.ReopenResults:
    return ask.ReopenResults(authority=authority, reason="sha256:sums", protest=protest)


Asked = Callable[[Authority, str | None], ask.MakeCorrection | ask.ReopenResults]


def posted() -> Scene:
    return ridden(e1=2, e2=0).posted().given(PROTEST, by=STEWARD)


def reopened() -> Scene:
    scene = (
        posted().given(ruled("upheld"), by=STEWARD).given(ask.MakeOfficial(reason="sha256:seen"))
    )
    return scene.given(reopening("office_error", None))


def official() -> Scene:
    return posted().given(ruled("upheld"), by=STEWARD).given(ask.MakeOfficial(reason="sha256:seen"))


@pytest.mark.parametrize("by", [OFFICE, STEWARD])
@pytest.mark.parametrize("authority", ["judge", "office_error"])
def test_before_results_are_official_the_judges_word_is_enough(
    authority: Authority, by: Actor
) -> None:
    posted().given(correcting(authority, None), by=by)


@pytest.mark.parametrize(
    ("scene", "asked"), [(reopened, correcting), (official, reopening)], ids=["correct", "reopen"]
)
def test_once_they_have_been_official_it_takes_a_ruling_or_an_error_of_the_office(
    scene: Callable[[], Scene], asked: Asked
) -> None:
    refused = scene().refusal(asked("judge", None), STEWARD)
    assert (refused.code, refused.field) == ("authority_too_low", "authority")
    assert refused.rule is not None
    scene().given(asked("office_error", None), by=OFFICE)
    scene().given(asked("ruling", "t1"), by=STEWARD)


@pytest.mark.parametrize(
    ("scene", "asked"), [(reopened, correcting), (official, reopening)], ids=["correct", "reopen"]
)
def test_only_the_steward_carries_out_a_ruling(scene: Callable[[], Scene], asked: Asked) -> None:
    scene().refuses(asked("ruling", "t1"), "ruling_by_steward_only", "authority", by=OFFICE)


@pytest.mark.parametrize(
    ("scene", "asked"), [(reopened, correcting), (official, reopening)], ids=["correct", "reopen"]
)
def test_a_ruling_names_its_protest(scene: Callable[[], Scene], asked: Asked) -> None:
    refused = scene().refusal(asked("ruling", None), STEWARD)
    assert (refused.code, refused.field) == ("protest_not_upheld", "protest")


@pytest.mark.parametrize("authority", ["judge", "office_error", "ruling"])
def test_a_correction_names_no_protest_that_was_never_filed(authority: Authority) -> None:
    posted().refuses(correcting(authority, "t9"), "unknown_protest", "protest", by=STEWARD)


def test_a_protest_that_waits_carries_no_ruling() -> None:
    posted().refuses(correcting("ruling", "t1"), "protest_not_upheld", "protest", by=STEWARD)


def test_a_protest_that_was_denied_carries_no_ruling() -> None:
    scene = posted().given(ruled("denied"), by=STEWARD)
    scene.refuses(correcting("ruling", "t1"), "protest_not_upheld", "protest", by=STEWARD)


def test_a_ruling_is_kept_with_its_protest() -> None:
    scene = posted().given(ruled("upheld"), correcting("ruling", "t1"), by=STEWARD)
    (made,) = (e for e in scene.log if isinstance(e, happened.CorrectionMade))
    assert (made.authority, made.protest) == ("ruling", "t1")


def test_a_correction_that_was_made_is_so_already_whatever_became_official_since() -> None:
    scene = posted().given(correcting("judge", None))
    scene.given(ruled("denied"), by=STEWARD).given(
        ask.PostResults(), ask.MakeOfficial(reason="sha256:seen")
    )
    assert scene.when(correcting("judge", None)) == ()


# --- orders and placings on signed cards --------------------------------------------------------

AGAIN = ask.SetOrder(
    seat="A",
    order_id="r9",
    order=(ask.EntryRef(entry="e2"), ask.EntryRef(entry="e1")),
    reason="sha256:said-the-other-way-round",
)
PLACE = ask.PlaceCard(
    seat="A", order=(ask.EntryRef(entry="e2"), ask.EntryRef(entry="e1")), reason="sha256:swapped"
)
ERRED = ask.ReopenResults(authority="office_error", reason="sha256:sums")
SEEN = ask.MakeOfficial(reason="sha256:seen")


def official_again(asked: ask.SetOrder | ask.PlaceCard) -> Scene:
    """Results that were official and are open again, under a book that knows such cards."""
    if isinstance(asked, ask.SetOrder):
        return ridden(e1=2, e2=0).official().given(ERRED)
    first = ask.PlaceCard(seat="A", order=(ask.EntryRef(entry="e1"), ask.EntryRef(entry="e2")))
    return Scene(PLACED).planned(2).given(first).official().given(ERRED)


def with_word(asked: ask.SetOrder | ask.PlaceCard, **more: object) -> ask.SetOrder | ask.PlaceCard:
    return msgspec.structs.replace(asked, **more)


@pytest.mark.parametrize("asked", [AGAIN, PLACE])
def test_once_results_were_official_a_signed_card_moves_on_somebodys_word_alone(
    asked: ask.SetOrder | ask.PlaceCard,
) -> None:
    scene = official_again(asked)
    scene.refuses(asked, "authority_missing", "authority", by=STEWARD)
    low = with_word(asked, authority="judge")
    scene.refuses(low, "authority_too_low", "authority", by=STEWARD)
    erred = with_word(asked, authority="office_error")
    scene.refuses(with_word(erred, reason=None), "reason_missing", "reason", by=STEWARD)
    unruled = with_word(asked, authority="ruling")
    scene.refuses(unruled, "protest_not_upheld", "protest", by=STEWARD)
    scene.given(PROTEST).given(ruled("upheld"), by=STEWARD)
    scene.given(with_word(asked, authority="ruling", protest="t1"), by=STEWARD)
    last = scene.log[-1]
    assert isinstance(last, happened.OrderSet | happened.CardPlaced)
    assert (last.authority, last.protest) == ("ruling", "t1")


@pytest.mark.parametrize("asked", [AGAIN, PLACE])
def test_before_results_are_official_the_judges_own_word_moves_a_signed_card(
    asked: ask.SetOrder | ask.PlaceCard,
) -> None:
    if isinstance(asked, ask.SetOrder):
        scene = ridden(e1=2, e2=0).posted()
    else:
        first = ask.PlaceCard(seat="A", order=(ask.EntryRef(entry="e1"), ask.EntryRef(entry="e2")))
        scene = Scene(PLACED).planned(2).given(first).posted()
    scene.given(asked, by=STEWARD)
    assert scene.placed() == {"e2": "1", "e1": "2"}
