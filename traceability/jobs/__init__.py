"""What is asked of the record beside the web process."""

from traceability.jobs import proofs

__all__ = ["proofs"]
