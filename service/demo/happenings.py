"""What happens in a class besides its rides, as the demo's files say it."""

from datetime import time

import msgspec

from events.judged_class.events import Authority, OrderBy


class _Then(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, tag_field="do"):
    """At that time of the show's clock; ``by`` is the key that is used."""

    at: time
    by: str = "office"


class Look(_Then, frozen=True, kw_only=True, tag="look"):
    """Somebody looks at the placing; nothing is recorded."""

    says: str


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


class Order(_Then, frozen=True, kw_only=True, tag="order"):
    """The judge whose scribe it is puts entries in order, best first, by back number."""

    order: tuple[int, ...]
    reason: str
    settled_by: OrderBy = "rail_work"


class ConfirmOrder(_Then, frozen=True, kw_only=True, tag="confirm the order"):
    """The judge lets the order on the card stand."""


class Sign(_Then, frozen=True, kw_only=True, tag="sign"):
    """A card is signed: of the scribe's own seat, or of the one named."""

    seat: str | None = None


class Post(_Then, frozen=True, kw_only=True, tag="post"):
    """Results are posted."""


class MakeOfficial(_Then, frozen=True, kw_only=True, tag="make official"):
    """Results become official."""


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


class Reopen(_Then, frozen=True, kw_only=True, tag="reopen"):
    """Official results are opened again on a ruling."""

    protest: str
    reason: str


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
    | Order
    | ConfirmOrder
    | Sign
    | Post
    | MakeOfficial
    | FileProtest
    | Uphold
    | Reopen
    | CorrectPenalty
)
