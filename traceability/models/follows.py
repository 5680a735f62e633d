"""Which kinds of link something follows, as rows keep it: one yes or no for each kind."""

from collections.abc import Collection
from typing import Any

from django.db import models
from django.db.models import Q

from inventory.models import Link


class Follows(models.Model):
    """A row that follows links of the chosen kinds from some lots forward."""

    over_ingredient = models.BooleanField()
    over_culture = models.BooleanField()
    over_carryover = models.BooleanField()

    class Meta:
        abstract = True

    @property
    def kinds(self) -> frozenset[Link.Kind]:
        """The kinds of link that are followed."""
        return frozenset(kind for kind in Link.Kind if getattr(self, f"over_{kind.label}"))

    @property
    def kinds_in_words(self) -> str:
        """The kinds of link that are followed, for people."""
        return ", ".join(kind.label for kind in Link.Kind if kind in self.kinds)


def following(kinds: Collection[Link.Kind]) -> dict[str, Any]:
    """Return the columns of a row that follows these kinds."""
    return {f"over_{kind.label}": kind in kinds for kind in Link.Kind}


def follows_something(name: str) -> models.CheckConstraint:
    """Return the rule, under its name, that at least one kind is followed."""
    condition = Q(over_ingredient=True) | Q(over_culture=True) | Q(over_carryover=True)
    return models.CheckConstraint(name=name, condition=condition)
