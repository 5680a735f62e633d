"""Materials: what lots are of."""

from typing import Any, ClassVar

import django_filters
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import NamedQuantity, QuantityShown, TextField
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import RecordDetail, Recording, RecordList
from brewery.science.units import BaseUnit
from inventory.api.material_fields import MaterialSettings
from inventory.models import Material
from inventory.models.dispositions import Disposition
from inventory.queries.materials import version_of
from inventory.services.registers import add_material


class MaterialAnswer(MaterialSettings, serializers.ModelSerializer[Material]):
    """One material with its settings. `version` changes whenever a setting does."""

    contents = QuantityShown("contents_micro", BaseUnit.L, allow_null=True)
    version = serializers.SerializerMethodField()

    class Meta:
        model = Material
        fields = ("code", "name", "kind", "base_unit", "contents", "version", *MaterialSettings().fields)

    def get_version(self, material: Material) -> str:
        return version_of(material)


class MaterialAsked(serializers.Serializer[Any]):
    """A new material. `contents` is the beer in one packaged each, and belongs to packaged beer only."""

    code = TextField(max_length=40)
    name = TextField(max_length=120)
    kind = serializers.ChoiceField(choices=Material.Kind.choices)
    base_unit = serializers.ChoiceField(choices=Material.BaseUnit.choices)
    arrives = serializers.ChoiceField(choices=Disposition.choices, default=Disposition.QUARANTINED)
    contents = NamedQuantity(base=BaseUnit.L, required=False)


class MaterialFilters(django_filters.FilterSet):
    """Narrows the list of materials."""

    kind = django_filters.ChoiceFilter(choices=Material.Kind.choices)
    code_contains = CodeFilter(field_name="code", lookup_expr="icontains")

    class Meta:
        model = Material
        fields: tuple[str, ...] = ()


class Materials(RecordList, Recording[Material]):
    """The register of materials; POST enters one more."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.KEEP_REGISTERS}
    queryset = Material.objects.all()
    serializer_class = answered = MaterialAnswer
    asked = MaterialAsked
    filterset_class = MaterialFilters
    ordering: ClassVar[str] = "code"

    def record(self, **asked: Any) -> Material:
        """Enter the material."""
        contents = asked.pop("contents", None)
        return add_material(contents_micro=contents.micro if contents else None, **asked)


class OneMaterial(RecordDetail):
    """One material by its code."""

    queryset = Material.objects.all()
    serializer_class = MaterialAnswer
    lookup_field = "code"
    thing: ClassVar[str] = "material"
