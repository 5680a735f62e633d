"""What the database refuses about holds, recalls, proofs, duty and captured events. A rule is named by its sentence."""

from brewery.kernel.database.triggers import Trigger, no_truncate, refusal, register

APPEND_ONLY = {
    "traceability_hold": "holds",
    "traceability_holdrelease": "releases_from_holds",
    "traceability_dutystanding": "standings_to_duty",
    "traceability_dutypurpose": "duty_purposes",
    "traceability_dutyclosing": "closings_of_duty_periods",
    "traceability_bondedlot": "bonded_lots",
    "traceability_dutyrate": "rates_of_duty",
    "traceability_dutyfacts": "answers_to_duty_schemes",
    "traceability_captureddocument": "captured_documents",
    "traceability_capturedevent": "captured_events",
    "traceability_capturedthing": "names_in_captured_events",
    "traceability_recall": "recalls",
    "traceability_recallsubject": "subjects_of_recalls",
    "traceability_recallclass": "classes_of_recalls",
    "traceability_recallnote": "notes_of_recalls",
    "traceability_recalltask": "tasks_of_recalls",
    "traceability_recalltaskdone": "ends_of_tasks",
    "traceability_recallcheck": "checks_of_recalls",
    "traceability_recallchecklot": "lots_of_checks",
    "traceability_recallclosing": "ends_of_recalls",
    "traceability_recordproof": "proofs_of_the_record",
    "traceability_finding": "findings_of_proofs",
    "traceability_findingend": "ends_of_findings",
}

_HELD_LOT_CHANGES = (
    "OLD.id <> NEW.id OR OLD.hold_id <> NEW.hold_id OR OLD.lot_id <> NEW.lot_id OR OLD.is_start <> NEW.is_start"
    " OR OLD.returns_to <> NEW.returns_to OR OLD.held_at <> NEW.held_at OR OLD.request_id <> NEW.request_id"
    " OR COALESCE(OLD.event_id, 0) <> COALESCE(NEW.event_id, 0)"
    " OR OLD.released_by_id IS NOT NULL OR NEW.released_by_id IS NULL"
)

_KEPT_BACK = "a_lot_under_a_hold_stays_held_back"

_STAYS_HELD = """
CREATE OR REPLACE FUNCTION traceability_stays_held() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF NEW.disposition NOT IN ('on_hold', 'rejected') AND EXISTS (
      SELECT 1 FROM traceability_heldlot held WHERE held.lot_id = NEW.id AND held.released_by_id IS NULL) THEN
    RAISE EXCEPTION '%', TG_NAME USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME;
  END IF;
  RETURN NEW;
END $$
"""

_STAYS_HELD_SQLITE = """
CREATE TRIGGER "a_lot_under_a_hold_stays_held_back" BEFORE UPDATE OF disposition ON inventory_lot
WHEN NEW.disposition NOT IN ('on_hold', 'rejected') AND EXISTS (
  SELECT 1 FROM traceability_heldlot held WHERE held.lot_id = NEW.id AND held.released_by_id IS NULL)
BEGIN SELECT RAISE(ABORT, 'a_lot_under_a_hold_stays_held_back'); END
"""


def record_triggers() -> list[Trigger]:
    """Return every rule that the tables of holds, recalls and proofs carry as a trigger."""
    triggers = [
        Trigger(
            name=_KEPT_BACK,
            table="inventory_lot",
            reads="traceability_heldlot",
            sqlite=_STAYS_HELD_SQLITE,
            postgresql=(
                f'CREATE OR REPLACE TRIGGER "{_KEPT_BACK}" BEFORE UPDATE OF disposition ON inventory_lot '
                "FOR EACH ROW EXECUTE FUNCTION traceability_stays_held()"
            ),
            postgresql_function=_STAYS_HELD,
        ),
        refusal("a_held_lot_changes_only_by_its_release", "traceability_heldlot", _HELD_LOT_CHANGES, "UPDATE"),
    ]
    for table, words in APPEND_ONLY.items():
        triggers.append(refusal(f"{words}_are_never_changed", table, "", "UPDATE"))
    for table, words in {**APPEND_ONLY, "traceability_heldlot": "held_lots"}.items():
        triggers.append(refusal(f"{words}_are_never_deleted", table, "", "DELETE"))
        triggers.append(no_truncate(f"{words}_are_never_truncated", table))
    return triggers


register(record_triggers())
