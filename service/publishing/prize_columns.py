"""What a show owes, as a table: a row for each prize."""

from service.desk.names import Names
from service.desk.prize_money import Owed
from service.publishing.tables import Column, Table

Row = tuple[Names, Owed]


def _horse(row: Row) -> str | None:
    known, owed = row
    return None if owed.entry.horse is None else known.horse(owed.entry.horse)


PRIZES: Table[Row] = Table(
    name="prizes",
    title="Prize money of a show, a row for each prize",
    key=("class", "version", "entry"),
    columns=(
        Column("exhibitor_id", "string", "Id of the exhibitor.", lambda x: x[1].entry.exhibitor),
        Column("exhibitor", "string", "Whom it is owed to.",
               lambda x: x[0].person(x[1].entry.exhibitor)),
        Column("horse_id", "string", "Id of the horse.", lambda x: x[1].entry.horse,
               optional=True),
        Column("horse", "string", "The horse.", _horse, optional=True),
        Column("class", "string", "Id of the class.", lambda x: x[1].class_id),
        Column("class_name", "string", "The class.", lambda x: x[1].class_name),
        Column("entry", "string", "Id of the entry.", lambda x: x[1].entry.id),
        Column("back_number", "integer", "Back number.", lambda x: x[1].entry.back_number),
        Column("division", "string", "The division that it is for.",
               lambda x: x[1].purse.event.division, optional=True),
        Column("seat", "string", "The judge's seat that it is for.",
               lambda x: x[1].purse.event.seat, optional=True),
        Column("place", "integer", "The place.", lambda x: x[1].prize.place),
        Column("cents", "integer", "What is owed, in cents.", lambda x: x[1].prize.cents),
        Column("version", "integer", "The event of the class that awarded it.",
               lambda x: x[1].purse.version),
        Column("standing", "string", "Whether it stands.", lambda x: x[1].purse.standing),
        Column("section", "integer", "The section that it is for.",
               lambda x: x[1].purse.event.section, optional=True),
    ),
)  # fmt: skip
