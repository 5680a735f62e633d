"""Settings of a material: how it arrives, what is let pass, what it carries, and what may be said of it."""

from typing import Any, ClassVar

from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.views import Recording
from inventory.api.codes import MaterialField
from inventory.api.material_fields import MaterialSettings
from inventory.api.materials import MaterialAnswer
from inventory.models import Material
from inventory.services.material_settings import set_up_material

VERSION_LENGTH = 16


class MaterialSettingsAsked(MaterialSettings):
    """The settings that change; what is not named stays. `version` is that of the material as it was seen."""

    material = MaterialField()
    version = serializers.CharField(max_length=VERSION_LENGTH)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return the material, the version, and the `changes`."""
        material, version = attrs.pop("material"), attrs.pop("version")
        return {"material": material, "version": version, "changes": attrs}


class MaterialSetups(Recording[Material]):
    """POST: set up a material; the answer is the material."""

    right: ClassVar[Right] = Right.SPECIFY
    asked = MaterialSettingsAsked
    answered = MaterialAnswer

    def record(self, **asked: Any) -> Material:
        """Set it up."""
        return set_up_material(**asked)
