"""What is asked of the record beside the web process, and the drills that are due."""

from traceability.jobs import drills, proofs

__all__ = ["drills", "proofs"]
