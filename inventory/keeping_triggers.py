"""What the database notes for those who work out how long lots keep: of which lot, or which place, there is news.

It is noted in the transaction that makes it, whoever writes, so nothing that was changed is ever missed.
"""

from brewery.kernel.database.triggers import Trigger

_KEPT = "('hop', 'yeast', 'packaged')"
"""The kinds of which how long they keep is worked out: `inventory.services.keepings`, in every app."""

_LOT = f"""SELECT lot.id, NULL FROM inventory_lot lot JOIN inventory_material material ON material.id = lot.material_id
 WHERE lot.id = NEW.lot_id AND material.kind IN {_KEPT}"""  # noqa: S608  code alone
_PLACE = "SELECT NULL, {place} WHERE 1 = 1"

_NEWS = {
    "postings_are_news_of_their_lots": ("inventory_posting", "INSERT", _LOT),
    "certificates_are_news_of_their_lots": ("inventory_certificate", "INSERT", _LOT),
    "opened_packs_are_news_of_their_lots": ("inventory_packchange", "INSERT", _LOT),
    "rates_of_hops_are_news_of_what_is_held": (
        "inventory_hoprate",
        "INSERT",
        "SELECT lot.id, NULL FROM inventory_lot lot"
        " WHERE (lot.id = NEW.lot_id OR lot.material_id = NEW.material_id) AND EXISTS"
        " (SELECT 1 FROM inventory_balance held WHERE held.lot_id = lot.id AND held.quantity_micro > 0)",
    ),
    "warmths_are_news_of_their_places": ("inventory_warmth", "INSERT", _PLACE.format(place="NEW.location_id")),
    "the_first_warmth_is_news_of_its_place": (
        "inventory_location",
        "UPDATE OF nominal_milli_c",
        _PLACE.format(place="NEW.id"),
    ),
    "moves_of_pallets_are_news_of_them": (
        "inventory_unitmove",
        "INSERT",
        "SELECT NULL, unit.location_id FROM inventory_logisticunit unit WHERE unit.id = NEW.unit_id",
    ),
}


def news_triggers() -> list[Trigger]:
    """Return the triggers that note news, one for each thing that keepings follow from."""
    return [_noting(name, table, operation, question) for name, (table, operation, question) in _NEWS.items()]


def _noting(name: str, table: str, operation: str, question: str) -> Trigger:
    note = f"INSERT INTO inventory_keepingnews (lot_id, location_id) {question};"
    function = f"inventory_{name}"
    return Trigger(
        name=name,
        table=table,
        reads="inventory_keepingnews",
        sqlite=f'CREATE TRIGGER "{name}" AFTER {operation} ON {table} BEGIN {note} END',
        postgresql=(
            f'CREATE OR REPLACE TRIGGER "{name}" AFTER {operation} ON {table} '
            f"FOR EACH ROW EXECUTE FUNCTION {function}()"
        ),
        postgresql_function=(
            f"CREATE OR REPLACE FUNCTION {function}() RETURNS trigger LANGUAGE plpgsql AS $$ "
            f"BEGIN {note} RETURN NULL; END $$"
        ),
    )
