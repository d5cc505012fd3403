"""The show's own awards, and the season in which it counts, as the demo's file says them."""

import msgspec

from events.awards.rules import Carrier, Category, StandingTie
from events.season.commands import CountShow, OpenSeason
from service.demo.player import Player
from service.demo.scenario import read
from service.desk import seasons, show_awards
from service.desk.seasons import AwardPlan
from service.points import shipped_table

AWARDS = "awards.toml"


class _Award(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An award, by a points table that ships."""

    award: str
    name: str
    carrier: Carrier
    points: str
    categories: tuple[Category, ...]
    best_of: int | None = None
    minimum_classes: int = 0
    minimum_categories: int = 0
    ties: tuple[StandingTie, ...] = ()

    @property
    def plan(self) -> AwardPlan:
        """The award with the table itself."""
        fields = msgspec.structs.asdict(self) | {"points": shipped_table(self.points)}
        return AwardPlan(**fields)


class AwardStory(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The file; ``id`` is the season's."""

    id: str
    season: OpenSeason
    of_the_season: tuple[_Award, ...]
    of_the_show: tuple[_Award, ...]


def the_awards() -> AwardStory:
    """The awards."""
    return msgspec.toml.decode(read(AWARDS), type=AwardStory)


def define_awards(player: Player, story: AwardStory) -> None:
    """Define what the show awards; open the season with its awards, and let the show count."""
    desk, show = player.desk, player.show.id
    for award in story.of_the_show:
        show_awards.define(desk, player.entering(), show, award.plan)
    seasons.open_season(desk, player.entering("federation"), story.season, story.id)
    for award in story.of_the_season:
        seasons.define_award(desk, player.entering("federation"), story.id, award.plan)
    seasons.carry_out(desk, player.entering("federation"), story.id, CountShow(show=show))
