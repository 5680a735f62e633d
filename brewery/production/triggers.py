"""What the database refuses about brew sheets, whoever writes: a sheet that is in use is never changed.

Each rule is named by the sentence that it keeps, and the error carries the name.
"""

from brewery.kernel.database.triggers import Trigger, no_truncate, refusal, register

_LINES = {
    "production_sheetgrain": ("sheet_id", "grain"),
    "production_sheethop": ("sheet_id", "hops"),
    "production_sheetsalt": ("sheet_id", "salts"),
    "production_sheetion": ("sheet_id", "ions"),
    "production_mashstep": ("sheet_id", "mash"),
    "production_cellarstep": ("sheet_id", "cellar_steps"),
    "production_brewsheet_formats": ("brewsheet_id", "formats"),
}
"""The tables of what a sheet lists, the column that names the sheet, and a word for the rule."""

_COLUMNS = (
    "id",
    "beer_id",
    "version",
    "revision",
    "cold_wort_micro",
    "original_gravity_milli_p",
    "final_gravity_milli_p",
    "bitterness_milli_bu",
    "colour_milli_ebc",
    "yield_ppm",
    "boil_minutes",
    "evaporation_ppm",
    "liquor_id",
    "mash_liquor_micro",
    "sparge_liquor_micro",
    "yeast_id",
    "pitch_cells",
    "kraeusen_ppm",
    "is_filtered",
    "note",
    "written_by_id",
    "written_at",
    "put_in_use_at",
    "request_id",
)
"""All of a sheet but its state."""

_ONE_IS_NULL = " OR (OLD.{name} IS NULL) <> (NEW.{name} IS NULL)"
_CHANGES = " OR ".join(f"OLD.{name} <> NEW.{name}" for name in _COLUMNS) + "".join(
    _ONE_IS_NULL.format(name=name) for name in _COLUMNS
)

_DRAFTS_ONLY = """
CREATE OR REPLACE FUNCTION production_drafts_only() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  line record;
BEGIN
  FOR line IN SELECT sheet.state FROM production_brewsheet sheet
      WHERE sheet.id IN ((to_jsonb(NEW) ->> TG_ARGV[0])::bigint, (to_jsonb(OLD) ->> TG_ARGV[0])::bigint)
      FOR SHARE LOOP
    IF line.state <> 'draft' THEN
      RAISE EXCEPTION '%', TG_NAME USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME;
    END IF;
  END LOOP;
  IF TG_OP = 'DELETE' THEN
    RETURN OLD;
  END IF;
  RETURN NEW;
END $$
"""

_DRAFTS_ONLY_SQLITE = """
CREATE TRIGGER "{name}" BEFORE {operation} ON {table}
WHEN EXISTS (SELECT 1 FROM production_brewsheet sheet WHERE sheet.id IN ({keys}) AND sheet.state <> 'draft')
BEGIN SELECT RAISE(ABORT, '{name}'); END
"""


def _drafts_only(table: str, column: str, word: str, operation: str) -> Trigger:
    """Return a trigger that refuses a line of a sheet that is no draft, before or after."""
    name = f"{word}_of_a_sheet_in_use_stay_on_{operation.lower()}"
    rows = {"INSERT": ("NEW",), "UPDATE": ("OLD", "NEW"), "DELETE": ("OLD",)}[operation]
    keys = ", ".join(f"{row}.{column}" for row in rows)
    return Trigger(
        name=name,
        table=table,
        sqlite=_DRAFTS_ONLY_SQLITE.format(name=name, table=table, operation=operation, keys=keys),
        postgresql=(
            f'CREATE OR REPLACE TRIGGER "{name}" BEFORE {operation} ON {table} '
            f"FOR EACH ROW EXECUTE FUNCTION production_drafts_only('{column}')"
        ),
        postgresql_function=_DRAFTS_ONLY,
    )


def sheet_triggers() -> list[Trigger]:
    """Return every rule that the tables of brew sheets carry as a trigger."""
    sheet = "production_brewsheet"
    not_withdrawn = "NOT (OLD.state = 'in_use' AND NEW.state = 'withdrawn') AND OLD.state <> NEW.state"
    triggers = [
        refusal("a_sheet_in_use_stays_as_it_is", sheet, f"OLD.state <> 'draft' AND ({_CHANGES})", "UPDATE"),
        refusal("a_sheet_in_use_is_only_withdrawn", sheet, f"OLD.state <> 'draft' AND {not_withdrawn}", "UPDATE"),
        refusal("a_sheet_in_use_is_kept", sheet, "OLD.state <> 'draft'", "DELETE"),
        no_truncate("sheets_are_never_truncated", sheet),
    ]
    for table, (column, word) in _LINES.items():
        triggers += [_drafts_only(table, column, word, operation) for operation in ("INSERT", "UPDATE", "DELETE")]
        triggers.append(no_truncate(f"{word}_of_sheets_are_never_truncated", table))
    return triggers


register(sheet_triggers())


_APPEND_ONLY = {
    "production_strainsetting": "settings_of_strains",
    "production_logentry": "lines_of_a_brew_log",
    "production_substitution": "substitutions",
    "production_shipment": "shipments",
    "production_customerreturn": "returns_from_customers",
    "production_returnoutcome": "outcomes_of_returns",
    "production_tankreading": "readings_of_tanks",
    "production_packagingfill": "fills",
    "production_filledtank": "filled_tanks",
    "production_runfinish": "ends_of_runs",
    "production_packagingrule": "packaging_rules",
    "production_retainedsample": "retained_samples",
    "production_sampledisposal": "disposals_of_samples",
}


def append_only_triggers() -> list[Trigger]:
    """Return the rules that keep what was written: brew days, tanks, yeast, fills, shipments and what came back."""
    triggers = []
    for table, words in _APPEND_ONLY.items():
        triggers.append(refusal(f"{words}_are_never_changed", table, "", "UPDATE"))
        triggers.append(refusal(f"{words}_are_never_deleted", table, "", "DELETE"))
        triggers.append(no_truncate(f"{words}_are_never_truncated", table))
    gone = "OLD.shipment_id IS NOT NULL OR OLD.put_back_at IS NOT NULL"
    return [
        *triggers,
        refusal("a_pick_that_was_shipped_or_put_back_stays", "production_pick", gone, "UPDATE"),
        refusal("a_pick_is_kept", "production_pick", "", "DELETE"),
    ]


register(append_only_triggers())
