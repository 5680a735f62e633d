"""What is done about the stock beside the web process."""

from inventory.jobs import audits

__all__ = ["audits"]
