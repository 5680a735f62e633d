"""Brews and packaging runs: work under way, each with a location of its own in the ledger."""

from brewery.production.models.brews import Brew
from brewery.production.models.runs import PackagingRun

__all__ = ["Brew", "PackagingRun"]
