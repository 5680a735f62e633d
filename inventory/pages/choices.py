"""Form fields that name something on record: typed or scanned by its code, or picked from the list below the field."""

from abc import ABC, abstractmethod
from collections.abc import Callable
from typing import Any, ClassVar

from django import forms
from django.db.models import Model, Q, QuerySet

from inventory.models import Location, Material, Party
from inventory.queries.vessels import in_service

CODE_LENGTH = 40


class CodeInput(forms.TextInput):
    """An input that offers the codes of a list (a datalist element of the page)."""

    def __init__(self, offers: str) -> None:
        super().__init__(attrs={"list": offers, "autocomplete": "off", "spellcheck": "false"})


class NamedField(forms.CharField, ABC):
    """A row by its code, or by its name where only one bears it."""

    thing: ClassVar[str]
    offers: ClassVar[str]

    def __init__(self, **options: Any) -> None:
        super().__init__(max_length=120, widget=CodeInput(self.offers), **options)

    @abstractmethod
    def rows(self) -> QuerySet[Any]:
        """Return the rows that may be named."""

    def clean(self, value: Any) -> Any:
        """Return the row, or None where nothing was typed. Raises ValidationError."""
        if isinstance(value, Model):
            return value
        text = super().clean(value)
        if not text:
            return None
        found = self.rows().filter(code=text).first() or self.rows().filter(code__iexact=text).first()
        named = [found] if found else list(self.rows().filter(name__iexact=text)[:2])
        if len(named) != 1:
            raise forms.ValidationError(f"There is no {self.thing} “{text}”: give the code of one on the list.")
        return named[0]

    def prepare_value(self, value: Any) -> Any:
        """Return what the field shows: the code."""
        return getattr(value, "code", value)


class MaterialField(NamedField):
    """A material."""

    thing = "material"
    offers = "materials"

    def rows(self) -> QuerySet[Any]:
        """Return all materials."""
        return Material.objects.all()


class PackagedField(NamedField):
    """A packaged beer."""

    thing = "packaged beer"
    offers = "packaged"

    def rows(self) -> QuerySet[Any]:
        """Return the packaged materials."""
        return Material.objects.filter(kind=Material.Kind.PACKAGED)


class SupplierField(NamedField):
    """A supplier."""

    thing = "supplier"
    offers = "suppliers"

    def rows(self) -> QuerySet[Any]:
        """Return the parties that supply the brewery."""
        return Party.objects.filter(role=Party.Role.SUPPLIER)


class CustomerField(NamedField):
    """A customer."""

    thing = "customer"
    offers = "customers"

    def rows(self) -> QuerySet[Any]:
        """Return the parties that the brewery sells to."""
        return Party.objects.filter(role=Party.Role.CUSTOMER)


class CountedPlaceField(NamedField):
    """A place that is counted: what lies there is on hand."""

    thing = "place"
    offers = "counted-places"

    def rows(self) -> QuerySet[Any]:
        """Return stores, silos, brinks, pallets and tanks."""
        return Location.objects.filter(kind__in=Location.ON_HAND)


class StockPlaceField(NamedField):
    """A place that a delivery may be put in."""

    thing = "place"
    offers = "places"

    def rows(self) -> QuerySet[Any]:
        """Return stores, silos, brinks and pallets."""
        return Location.objects.filter(kind__in=Location.STOCK)


class _TanksInService(forms.models.ModelChoiceIterator):
    """The tanks in service, and the one that is kept."""

    def __init__(self, field: Any) -> None:
        super().__init__(field)
        offered = in_service(field.queryset).values("pk")
        self.queryset = field.queryset.filter(Q(pk__in=offered) | Q(pk=field.keep)).order_by("code")


class TankChoiceField(forms.ModelChoiceField):
    """A tank. One out of service is not offered, but for that of the key `keep`, which was chosen before.

    A form that is sent again finds it all the same; whether a tank may be filled the service says.
    """

    iterator = _TanksInService
    keep: int | None = None

    def __init__(self, **options: Any) -> None:
        super().__init__(queryset=Location.objects.tanks(), **options)


OFFERS: dict[str, Callable[[], QuerySet[Any]]] = {
    "materials": lambda: Material.objects.only("code", "name"),
    "customers": lambda: Party.objects.filter(role=Party.Role.CUSTOMER),
    "packaged": lambda: Material.objects.filter(kind=Material.Kind.PACKAGED).only("code", "name"),
    "suppliers": lambda: Party.objects.filter(role=Party.Role.SUPPLIER),
    "counted-places": lambda: in_service(
        Location.objects.filter(kind__in=set(Location.ON_HAND) - {Location.Kind.PALLET})
    ),
    "stores": lambda: Location.objects.filter(kind=Location.Kind.STORE),
    "places": lambda: in_service(
        Location.objects.filter(kind__in=(Location.Kind.STORE, Location.Kind.SILO, Location.Kind.BRINK))
    ),
}


def offers(*lists: str) -> list[dict[str, Any]]:
    """Return the lists of codes that a page offers below its fields: `id`, and the `rows` with code and name."""
    return [{"id": name, "rows": list(OFFERS[name]())} for name in lists]
