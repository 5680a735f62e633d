"""The papers: one table a file, with the columns that the brewery's people fill in."""

import csv
import io
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path

_HEAD = ("record", "happened_at", "recorded_by")
REGISTERS: Mapping[str, tuple[str, ...]] = {
    "people": ("person", "name", "role"),
    "materials": ("material", "name", "kind", "unit", "arrives", "contents", "contents_unit"),
    "material_settings": (
        "material",
        "shelf_life_days",
        "told_days_before",
        "open_days",
        "warmest_arrival_c",
        "delivery_tolerance_pct",
        "count_tolerance_pct",
        "allergens",
        "allergens_exempt_in_eu",
        "animal_origin",
        "claims",
        "salt",
        "container",
    ),
    "parties": ("party", "name", "role"),
    "contacts": ("contact", "party", "name", "role", "phone", "email", "at_night", "note"),
    "locations": ("location", "name", "kind", "filling", "capacity", "unit", "temperature_c", "band"),
}
_COLUMNS = {
    "specifications": "material property least most in_force_from withdrawn source",
    "strain_settings": "yeast last_generation least_viability_pct most_days rate harvest_from_days harvest_until_days "
    "in_force_from source",
    "packaging_rules": "material pattern l_prefix life life_in to_months_end in_force_from",
    "place_temperatures": "location temperature_c",
    "climate_limits": "location least_c most_c tolerated_minutes silent_minutes",
    "climate_readings": "location logger read_at temperature_c",
    "climate_corrections": "location logger first_at last_at counts reason",
    "minimum_lives": "customer material days",
    "supply_contracts": "contract supplier material quantity unit begins_on ends_on crop_year note",
    "reorder_settings": "material supplier lead_days policy quantity unit service_pct review_days pack least ended",
    "purchase_orders": "supplier order material quantity unit due_on supplier_reference contract note",
    "customer_orders": "customer order wanted_on material count customer_reference deliver_to note",
    "deliveries": "supplier note_number material lot supplier_lot quantity unit location best_before generation "
    "contents_lot order",
    "lot_costs": "lot unit_cost currency",
    "certificates": "lot number laboratory issued_on property value method replaces",
    "decisions": "lot decision reason",
    "brew_sheets": "beer part position what material amount unit vessel temperature_c minutes days words",
    "brews": "brew beer sheet_version cold_wort unit",
    "packaging_runs": "run beer",
    "draws": "into lot location quantity unit override_reason reason stands_in_for stands_in_because",
    "returns_to_stock": "out_of lot location quantity unit reason",
    "brew_log": "brew step property value hot vessel words replaces reason",
    "cleanings": "vessel programme remark",
    "knock_outs": "brew wort_material wort_lot vessel quantity unit contents_lot unclean_reason",
    "pitches": "vessel beer contents_lot yeast_lot location quantity unit",
    "additions": "vessel contents_lot lot location quantity unit volume_after volume_unit",
    "transfers": "kind from_vessel to_vessel quantity unit loss contents_lot",
    "harvests": "vessel beer_quantity beer_unit yeast_lot quantity unit location unclean_reason",
    "filtrations": "from_vessel to_vessel contents_lot quantity unit loss aid_lot aid_location aid_quantity aid_unit "
    "unclean_reason",
    "tank_readings": "vessel property value remark replaces reason",
    "packagings": "run vessel material packaged_lot count loss loss_unit location best_before",
    "shipments": "customer note_number lot location quantity unit order carrier vehicle driver seal",
    "customer_returns": "customer lot location quantity unit reason cause",
    "return_outcomes": "customer_return outcome lot location quantity unit to_location reason",
    "moves": "lot from_location to_location quantity unit",
    "counts": "location lot counted unit reason",
    "destructions": "lot location quantity unit reason",
    "samples": "lot location laboratory quantity unit reason",
    "retained_samples": "lot location laboratory shelf count keep_until",
    "sample_disposals": "retained_sample reason",
    "reversals": "reverses_file reverses_record reason",
}
RECORDS: Mapping[str, tuple[str, ...]] = {file: (*_HEAD, *columns.split()) for file, columns in _COLUMNS.items()}
_LETTERS = {
    "specifications": "SP",
    "strain_settings": "YS",
    "packaging_rules": "PR",
    "place_temperatures": "PT",
    "climate_limits": "KL",
    "climate_readings": "KR",
    "climate_corrections": "KC",
    "minimum_lives": "ML",
    "supply_contracts": "SC",
    "reorder_settings": "RE",
    "purchase_orders": "OR",
    "customer_orders": "CO",
    "deliveries": "DE",
    "lot_costs": "LC",
    "certificates": "CE",
    "decisions": "QD",
    "brew_sheets": "BH",
    "brews": "BS",
    "packaging_runs": "PS",
    "draws": "DR",
    "returns_to_stock": "RS",
    "brew_log": "BL",
    "cleanings": "CL",
    "knock_outs": "KO",
    "pitches": "PI",
    "additions": "AD",
    "transfers": "TR",
    "harvests": "HA",
    "filtrations": "FI",
    "tank_readings": "TE",
    "packagings": "PK",
    "shipments": "SH",
    "customer_returns": "CR",
    "return_outcomes": "RO",
    "moves": "MV",
    "counts": "CT",
    "destructions": "DX",
    "samples": "SA",
    "retained_samples": "KS",
    "sample_disposals": "KD",
    "reversals": "RV",
}


class Paper:
    """All tables of the season, row after row."""

    def __init__(self) -> None:
        self.rows: dict[str, list[dict[str, str]]] = {file: [] for file in (*REGISTERS, *RECORDS)}
        self._numbers = dict.fromkeys(RECORDS, 0)

    def register(self, file: str, *cells: str) -> None:
        """The register has one more row, its cells in the order of the columns."""
        self.rows[file].append(dict(zip(REGISTERS[file], cells, strict=True)))

    def record(self, file: str, happened_at: datetime, recorded_by: str) -> "Record":
        """A new record, still without rows, under the next number of the file."""
        self._numbers[file] += 1
        number = f"{_LETTERS[file]}-{self._numbers[file]:04d}"
        head = {"record": number, "happened_at": f"{happened_at:%Y-%m-%d %H:%M}", "recorded_by": recorded_by}
        return Record(self, file, number, head)

    def text(self, file: str) -> str:
        """The file as it is kept: a header, comma, line feed."""
        columns = {**REGISTERS, **RECORDS}[file]
        out = io.StringIO()
        writer = csv.DictWriter(out, columns, restval="", lineterminator="\n")
        writer.writeheader()
        writer.writerows(self.rows[file])
        return out.getvalue()

    def save(self, directory: Path) -> None:
        """Every file lies in the directory, in UTF-8."""
        for file in self.rows:
            (directory / f"{file}.csv").write_bytes(self.text(file).encode())


class Record:
    """One numbered record; its rows belong to one event."""

    def __init__(self, paper: Paper, file: str, number: str, head: Mapping[str, str]) -> None:
        self.file = file
        self.number = number
        self._paper = paper
        self._head = head

    def row(self, **cells: str) -> None:
        """One more row; cells that are not given stay empty."""
        unknown = cells.keys() - set(RECORDS[self.file])
        if unknown:
            raise KeyError(f"{self.file} has no column {unknown}")
        self._paper.rows[self.file].append({**self._head, **cells})
