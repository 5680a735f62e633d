"""What is done about the stock beside the web process."""

from inventory.jobs import alerts, audits

__all__ = ["alerts", "audits"]
