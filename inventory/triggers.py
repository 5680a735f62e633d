"""What the database refuses about the ledger, whoever writes: a service, a shell, another program.

Each rule is named by the sentence that it keeps, and the error carries the name.
"""

from brewery.kernel.database.triggers import Trigger, no_truncate, refusal, register
from inventory.keeping_triggers import news_triggers
from inventory.queries import flow_text

_SLOTS = 0x666C6F77
"""The class of the advisory locks that are the slots of day flows: any number that nothing else here takes."""

_KEEP_BALANCES = """
CREATE OR REPLACE FUNCTION inventory_keep_balances() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  INSERT INTO inventory_balance (lot_id, location_id, quantity_micro, holds_one_lot, may_go_below_zero)
    SELECT NEW.lot_id, place.id, 0, place.holds_one_lot, place.may_go_below_zero
      FROM inventory_location place WHERE place.id IN (NEW.from_location_id, NEW.to_location_id)
    ON CONFLICT (lot_id, location_id) DO NOTHING;
  UPDATE inventory_balance SET quantity_micro = quantity_micro - NEW.quantity_micro
    WHERE lot_id = NEW.lot_id AND location_id = NEW.from_location_id;
  UPDATE inventory_balance SET quantity_micro = quantity_micro + NEW.quantity_micro
    WHERE lot_id = NEW.lot_id AND location_id = NEW.to_location_id;
  UPDATE inventory_lot SET counted_micro = counted_micro
      + CASE WHEN place.id = NEW.from_location_id THEN NEW.quantity_micro ELSE -NEW.quantity_micro END
    FROM inventory_location place
    WHERE inventory_lot.id = NEW.lot_id AND place.kind = 'count_difference'
      AND place.id IN (NEW.from_location_id, NEW.to_location_id);
  RETURN NULL;
END $$
"""

_KEEP_BALANCES_SQLITE = """
CREATE TRIGGER "postings_keep_the_balances" AFTER INSERT ON inventory_posting BEGIN
  INSERT INTO inventory_balance (lot_id, location_id, quantity_micro, holds_one_lot, may_go_below_zero)
    SELECT NEW.lot_id, place.id, 0, place.holds_one_lot, place.may_go_below_zero
      FROM inventory_location place
     WHERE place.id IN (NEW.from_location_id, NEW.to_location_id)
       AND NOT EXISTS (SELECT 1 FROM inventory_balance b WHERE b.lot_id = NEW.lot_id AND b.location_id = place.id);
  UPDATE inventory_balance SET quantity_micro = quantity_micro - NEW.quantity_micro
    WHERE lot_id = NEW.lot_id AND location_id = NEW.from_location_id;
  UPDATE inventory_balance SET quantity_micro = quantity_micro + NEW.quantity_micro
    WHERE lot_id = NEW.lot_id AND location_id = NEW.to_location_id;
  UPDATE inventory_lot SET counted_micro = counted_micro + NEW.quantity_micro
    WHERE id = NEW.lot_id
      AND (SELECT kind FROM inventory_location WHERE id = NEW.from_location_id) = 'count_difference';
  UPDATE inventory_lot SET counted_micro = counted_micro - NEW.quantity_micro
    WHERE id = NEW.lot_id
      AND (SELECT kind FROM inventory_location WHERE id = NEW.to_location_id) = 'count_difference';
END
"""

# Who writes at the same time takes a slot of his own, so that nobody waits for another, whatever each writes first.
_KEEP_DAY_FLOWS = f"""
CREATE OR REPLACE FUNCTION inventory_keep_day_flows() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE free integer := 0;
BEGIN
  WHILE NOT pg_try_advisory_xact_lock({_SLOTS}, free) LOOP free := free + 1; END LOOP;
  WITH flow AS MATERIALIZED ({flow_text.flow_of_new("postgresql")}), days AS (
    INSERT INTO inventory_dayflow ({flow_text.KEYS}, quantity_micro, slot)
      SELECT flow.*, free FROM flow
      ON CONFLICT ({flow_text.KEYS}, slot)
      DO UPDATE SET quantity_micro = inventory_dayflow.quantity_micro + EXCLUDED.quantity_micro)
  INSERT INTO inventory_yearflow ({flow_text.YEAR_KEYS}, quantity_micro, slot)
    SELECT {flow_text.year_of("postgresql")}, material_id, kind, from_kind, to_kind, quantity_micro, free FROM flow
    ON CONFLICT ({flow_text.YEAR_KEYS}, slot)
    DO UPDATE SET quantity_micro = inventory_yearflow.quantity_micro + EXCLUDED.quantity_micro;
  RETURN NULL;
END $$
"""  # noqa: S608  code alone

_KEEP_DAY_FLOWS_SQLITE = f"""
CREATE TRIGGER "postings_keep_the_day_flows" AFTER INSERT ON inventory_posting BEGIN
  INSERT INTO inventory_dayflow ({flow_text.KEYS}, quantity_micro, slot)
    SELECT flow.*, 0 FROM ({flow_text.flow_of_new("sqlite")}) flow WHERE 1 = 1
    ON CONFLICT ({flow_text.KEYS}, slot)
    DO UPDATE SET quantity_micro = quantity_micro + excluded.quantity_micro;
  INSERT INTO inventory_yearflow ({flow_text.YEAR_KEYS}, quantity_micro, slot)
    SELECT {flow_text.year_of("sqlite")}, material_id, kind, from_kind, to_kind, quantity_micro, 0
      FROM ({flow_text.flow_of_new("sqlite")}) flow WHERE 1 = 1
    ON CONFLICT ({flow_text.YEAR_KEYS}, slot)
    DO UPDATE SET quantity_micro = quantity_micro + excluded.quantity_micro;
END
"""  # noqa: S608  code alone

_RELEASED_ONLY = """
CREATE OR REPLACE FUNCTION inventory_released_only() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF EXISTS (SELECT 1 FROM inventory_lot l, inventory_event e, inventory_location place
              WHERE l.id = NEW.lot_id AND e.id = NEW.event_id AND place.id = NEW.to_location_id
                AND l.disposition <> 'released' AND e.override_reason = '' AND e.kind NOT IN ('reverse', 'receive')
                AND place.kind IN ('process', 'transformed', 'customer')) THEN
    RAISE EXCEPTION '%', TG_NAME USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME;
  END IF;
  RETURN NEW;
END $$
"""

_RELEASED_ONLY_SQLITE = """
CREATE TRIGGER "only_released_lots_are_used" BEFORE INSERT ON inventory_posting
WHEN EXISTS (SELECT 1 FROM inventory_lot l, inventory_event e, inventory_location place
              WHERE l.id = NEW.lot_id AND e.id = NEW.event_id AND place.id = NEW.to_location_id
                AND l.disposition <> 'released' AND e.override_reason = '' AND e.kind NOT IN ('reverse', 'receive')
                AND place.kind IN ('process', 'transformed', 'customer'))
BEGIN SELECT RAISE(ABORT, 'only_released_lots_are_used'); END
"""

APPEND_ONLY = {
    "inventory_event": "events",
    "inventory_posting": "postings",
    "inventory_decision": "decisions",
    "inventory_certificate": "certificates",
    "inventory_certificatevalue": "certificate_values",
    "inventory_specification": "specifications",
    "inventory_unitmove": "moves_of_pallets",
    "inventory_lotcost": "costs",
    "inventory_contact": "contacts",
    "inventory_warmth": "warmths",
    "inventory_deliverychange": "changes_of_deliveries",
    "inventory_countfind": "finds_of_counts",
    "inventory_partycontact": "contacts_of_parties",
    "inventory_minimumlife": "minimum_lives",
    "inventory_cleaning": "cleanings",
    "inventory_servicemark": "service_marks",
    "inventory_uncleanfill": "unclean_fills",
    "inventory_alertstep": "steps_of_alerts",
    "inventory_climatecorrection": "corrections_of_climates",
    "inventory_climatelimit": "climate_limits",
    "inventory_climatereading": "climate_readings",
    "inventory_hoprate": "rates_of_hops",
    "inventory_reordersetting": "settings_of_reordering",
    "inventory_packchange": "changes_of_packs",
    "inventory_mailwish": "wishes_for_mail",
}

_LOT_CHANGES = (
    "OLD.id <> NEW.id OR OLD.code <> NEW.code OR OLD.material_id <> NEW.material_id OR OLD.made_by_id <> NEW.made_by_id"
    " OR OLD.made_at <> NEW.made_at OR OLD.made_micro <> NEW.made_micro OR OLD.supplier_lot <> NEW.supplier_lot"
    " OR COALESCE(OLD.supplier_id, 0) <> COALESCE(NEW.supplier_id, 0)"
    " OR COALESCE(OLD.generation, 0) <> COALESCE(NEW.generation, 0)"
    " OR COALESCE(OLD.crop_year, 0) <> COALESCE(NEW.crop_year, 0)"
    " OR COALESCE(OLD.package_micro, 0) <> COALESCE(NEW.package_micro, 0)"
    " OR COALESCE(OLD.best_before, '0001-01-01') <> COALESCE(NEW.best_before, '0001-01-01')"
    " OR OLD.reversed_by_id IS NOT NULL AND (NEW.reversed_by_id IS NULL OR OLD.reversed_by_id <> NEW.reversed_by_id)"
)

_LINK_CHANGES = (
    "OLD.id <> NEW.id OR OLD.event_id <> NEW.event_id OR OLD.parent_id <> NEW.parent_id OR OLD.child_id <> NEW.child_id"
    " OR OLD.kind <> NEW.kind OR OLD.quantity_micro <> NEW.quantity_micro OR OLD.reversed_by_id IS NOT NULL"
    " OR NEW.reversed_by_id IS NULL"
)

_LOCATION_CHANGES = (
    "OLD.id <> NEW.id OR OLD.kind <> NEW.kind OR OLD.holds_one_lot <> NEW.holds_one_lot"
    " OR OLD.may_go_below_zero <> NEW.may_go_below_zero"
)


def ledger_triggers() -> list[Trigger]:
    """Return every rule that the ledger's tables carry as a trigger."""
    triggers = [
        Trigger(
            name="postings_keep_the_balances",
            table="inventory_posting",
            sqlite=_KEEP_BALANCES_SQLITE,
            postgresql=(
                'CREATE OR REPLACE TRIGGER "postings_keep_the_balances" AFTER INSERT ON inventory_posting '
                "FOR EACH ROW EXECUTE FUNCTION inventory_keep_balances()"
            ),
            postgresql_function=_KEEP_BALANCES,
        ),
        Trigger(
            name="postings_keep_the_day_flows",
            table="inventory_posting",
            reads="inventory_yearflow",
            sqlite=_KEEP_DAY_FLOWS_SQLITE,
            postgresql=(
                'CREATE OR REPLACE TRIGGER "postings_keep_the_day_flows" AFTER INSERT ON inventory_posting '
                "FOR EACH ROW EXECUTE FUNCTION inventory_keep_day_flows()"
            ),
            postgresql_function=_KEEP_DAY_FLOWS,
        ),
        Trigger(
            name="only_released_lots_are_used",
            table="inventory_posting",
            sqlite=_RELEASED_ONLY_SQLITE,
            postgresql=(
                'CREATE OR REPLACE TRIGGER "only_released_lots_are_used" BEFORE INSERT ON inventory_posting '
                "FOR EACH ROW EXECUTE FUNCTION inventory_released_only()"
            ),
            postgresql_function=_RELEASED_ONLY,
        ),
        refusal("a_lot_keeps_what_it_was_made_as", "inventory_lot", _LOT_CHANGES, "UPDATE"),
        refusal("a_link_changes_only_by_the_mark_of_a_reversal", "inventory_link", _LINK_CHANGES, "UPDATE"),
        refusal("a_location_keeps_its_kind", "inventory_location", _LOCATION_CHANGES, "UPDATE"),
        refusal("a_delivery_changes_as_a_draft_only", "inventory_delivery", "OLD.state <> 'draft'", "UPDATE"),
        refusal("a_line_that_made_a_lot_stays", "inventory_deliveryline", "OLD.lot_id IS NOT NULL", "UPDATE"),
        refusal("a_line_that_made_a_lot_is_kept", "inventory_deliveryline", "OLD.lot_id IS NOT NULL", "DELETE"),
        refusal("a_count_ends_once", "inventory_countsheet", "OLD.state IN ('booked', 'discarded')", "UPDATE"),
        refusal("a_count_that_is_booked_stays", "inventory_countline", "OLD.event_id IS NOT NULL", "UPDATE"),
        refusal("a_line_of_a_count_is_kept", "inventory_countline", "", "DELETE"),
    ]
    for table, words in APPEND_ONLY.items():
        triggers.append(refusal(f"{words}_are_never_changed", table, "", "UPDATE"))
    for table, words in {**APPEND_ONLY, "inventory_link": "links", "inventory_lot": "lots"}.items():
        triggers.append(refusal(f"{words}_are_never_deleted", table, "", "DELETE"))
        triggers.append(no_truncate(f"{words}_are_never_truncated", table))
    return triggers


register(ledger_triggers())
register(news_triggers())
