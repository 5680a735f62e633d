"""Audits: named questions to the whole ledger, each recomputed from the postings, each silent when all is well."""

from inventory.queries.audits.running import AUDITS, Audit, Finding, run_audits

__all__ = ["AUDITS", "Audit", "Finding", "run_audits"]
