"""The season in which the demo's show counts, as its file says it."""

import msgspec

from events.awards.rules import Carrier, Category, StandingTie
from events.season.commands import CountShow, OpenSeason
from service.demo.player import Player
from service.demo.scenario import read
from service.desk import seasons
from service.desk.seasons import AwardPlan
from service.points import shipped_table

SEASON = "season.toml"


class _Award(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An award, by a points table that ships."""

    award: str
    name: str
    carrier: Carrier
    points: str
    categories: tuple[Category, ...]
    best_of: int | None = None
    minimum_categories: int = 0
    ties: tuple[StandingTie, ...] = ()


class SeasonStory(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The file."""

    id: str
    season: OpenSeason
    awards: tuple[_Award, ...]


def the_season() -> SeasonStory:
    """The season."""
    return msgspec.toml.decode(read(SEASON), type=SeasonStory)


def keep_season(player: Player, story: SeasonStory) -> None:
    """Open the season with its awards, and let the show count."""
    desk = player.desk
    seasons.open_season(desk, player.entering("federation"), story.season, story.id)
    for award in story.awards:
        fields = msgspec.structs.asdict(award)
        plan = AwardPlan(**fields | {"points": shipped_table(award.points)})
        seasons.define_award(desk, player.entering("federation"), story.id, plan)
    seasons.carry_out(desk, player.entering("federation"), story.id, CountShow(show=player.show.id))
