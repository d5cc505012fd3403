"""What happens in a class besides its rides, as the demo's files say it."""

from datetime import time

import msgspec

from events.judged_class.events import Authority, OrderBy


class _Then(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, tag_field="do"):
    """At that time of the show's clock; ``by`` is the key that is used."""

    at: time
    by: str = "office"


class Look(_Then, frozen=True, kw_only=True, tag="look"):
    """Somebody looks at the placing, or only at what to beware of; nothing is recorded."""

    says: str
    briefly: bool = False


class AskWhatIf(_Then, frozen=True, kw_only=True, tag="ask what if"):
    """The steward asks what would be without a penalty; nothing is recorded."""

    seat: str
    back: int
    maneuver: int
    says: str


class Scratch(_Then, frozen=True, kw_only=True, tag="scratch"):
    """An entry is taken out."""

    back: int
    reason: str


class Reinstate(_Then, frozen=True, kw_only=True, tag="reinstate"):
    """A scratch is undone."""

    back: int
    reason: str


class Readmit(_Then, frozen=True, kw_only=True, tag="readmit"):
    """A missed gate is undone."""

    back: int
    reason: str


class EnterLate(_Then, frozen=True, kw_only=True, tag="enter late"):
    """An entry is taken after the draw."""

    back: int


class MissGate(_Then, frozen=True, kw_only=True, tag="miss the gate"):
    """An entry did not come when called."""

    back: int


class ChangeHorse(_Then, frozen=True, kw_only=True, tag="change the horse"):
    """An entry rides the horse that carries another back number."""

    back: int
    horse_of: int
    reason: str


class RideOutOfOrder(_Then, frozen=True, kw_only=True, tag="ride out of order"):
    """An entry rode when it was another's turn."""

    back: int


class CallBack(_Then, frozen=True, kw_only=True, tag="call back"):
    """The judge whose scribe it is names those to be seen again."""

    back: tuple[int, ...]


class Place(_Then, frozen=True, kw_only=True, tag="place"):
    """The judge whose scribe it is places the class without scores, best first."""

    order: tuple[int, ...]


class GiveCardBack(_Then, frozen=True, kw_only=True, tag="give the card back"):
    """A signed card goes back to its judge."""

    seat: str
    reason: str


class RunOff(_Then, frozen=True, kw_only=True, tag="run-off"):
    """Those whom the panel leaves equal for first place ride again, or decline to."""

    declined: bool


class Cut(_Then, frozen=True, kw_only=True, tag="cut"):
    """The first go on to the next round."""

    size: int
    with_ties: bool = True


class SetCuts(_Then, frozen=True, kw_only=True, tag="set the cuts"):
    """The cuts are set that learners are scored by."""

    cuts: tuple[int, ...]


class Order(_Then, frozen=True, kw_only=True, tag="order"):
    """The judge whose scribe it is puts entries in order, best first, by back number."""

    order: tuple[int, ...]
    reason: str
    settled_by: OrderBy = "rail_work"


class ConfirmOrder(_Then, frozen=True, kw_only=True, tag="confirm the order"):
    """The judge lets the order on the card stand."""


class WithdrawOrder(_Then, frozen=True, kw_only=True, tag="withdraw the order"):
    """The judge takes the order on the card back."""


class Sign(_Then, frozen=True, kw_only=True, tag="sign"):
    """A card is signed: of the scribe's own seat, or of the one named."""

    seat: str | None = None


class Post(_Then, frozen=True, kw_only=True, tag="post"):
    """Results are posted."""


class MakeOfficial(_Then, frozen=True, kw_only=True, tag="make official"):
    """Results become official."""


class PayPrize(_Then, frozen=True, kw_only=True, tag="award prize money"):
    """A purse is awarded by percentages for the places, of one seat's placing or the panel's."""

    cents: int
    percentages: tuple[str, ...]
    seat: str | None = None


class TakePrizeBack(_Then, frozen=True, kw_only=True, tag="take prize money back"):
    """A purse that was awarded is taken back."""

    reason: str
    seat: str | None = None


class FileProtest(_Then, frozen=True, kw_only=True, tag="protest"):
    """A protest reaches the office; ``refused`` is the code with which it is not taken in."""

    protest: str
    filed_by: str
    back: int
    ground: str
    statement: str
    seat: str | None = None
    refused: str | None = None


class Uphold(_Then, frozen=True, kw_only=True, tag="uphold"):
    """The steward upholds a protest."""

    protest: str
    reason: str


class Deny(_Then, frozen=True, kw_only=True, tag="deny"):
    """The steward denies a protest."""

    protest: str
    reason: str


class WithdrawProtest(_Then, frozen=True, kw_only=True, tag="withdraw the protest"):
    """Whoever protested takes it back."""

    protest: str


class Reopen(_Then, frozen=True, kw_only=True, tag="reopen"):
    """Official results are opened again, on a ruling or for an error of the office."""

    reason: str
    protest: str | None = None


class CorrectPenalty(_Then, frozen=True, kw_only=True, tag="correct the penalty"):
    """The penalty of one maneuver on a signed card is replaced, or taken away (no ``to``)."""

    seat: str
    back: int
    maneuver: int
    authority: Authority
    reason: str
    to: str | None = None
    protest: str | None = None


Happening = (
    Look
    | AskWhatIf
    | Scratch
    | Reinstate
    | EnterLate
    | MissGate
    | Readmit
    | ChangeHorse
    | RideOutOfOrder
    | CallBack
    | Place
    | Order
    | ConfirmOrder
    | WithdrawOrder
    | Sign
    | GiveCardBack
    | RunOff
    | Post
    | MakeOfficial
    | Cut
    | SetCuts
    | PayPrize
    | TakePrizeBack
    | FileProtest
    | Uphold
    | Deny
    | WithdrawProtest
    | Reopen
    | CorrectPenalty
)
