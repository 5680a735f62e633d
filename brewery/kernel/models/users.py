"""People who sign in."""

from functools import cached_property

from django.contrib.auth.models import AbstractUser

from brewery.kernel.access import Right, rights_of_roles


class User(AbstractUser):
    """One person. What they may do follows from their roles, which are Django groups."""

    @cached_property
    def rights(self) -> frozenset[Right]:
        """All rights of this person's roles; a superuser has every right."""
        if self.is_superuser:
            return frozenset(Right)
        return rights_of_roles(set(self.groups.values_list("name", flat=True)))

    def has_right(self, right: Right | str) -> bool:
        """Return whether this active person has `right`."""
        return self.is_active and Right(right) in self.rights
