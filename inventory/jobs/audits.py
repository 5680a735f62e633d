"""The nightly ledger audit: when the brewery sleeps, the whole ledger is recomputed from its postings."""

from datetime import time
from typing import Any

from brewery.kernel.services.job_registry import job
from inventory.queries.audits import run_audits
from inventory.queries.audits.running import Finding

LEDGER_AUDIT = "audit_ledger"
MOST_SHOWN = 20


@job(LEDGER_AUDIT, daily_at=time(2, 30), writes=False)
def audit_ledger() -> dict[str, Any]:
    """Return how many audits were asked, how many rows disagree, and by the audit's name how many and the first."""
    answers = dict(run_audits())
    found = {name: findings for name, findings in answers.items() if findings}
    return {
        "audits": len(answers),
        "disagreements": sum(len(findings) for findings in found.values()),
        "findings": {
            name: {"count": len(findings), "first": [_row(finding) for finding in findings[:MOST_SHOWN]]}
            for name, findings in found.items()
        },
    }


def _row(finding: Finding) -> dict[str, Any]:
    return {"table": finding.table, "row": finding.row, "detail": finding.detail}
