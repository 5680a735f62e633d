"""Bodies that hold what the request knows and nothing else: a mistyped name is told, never passed over."""

from typing import Any

from rest_framework import serializers


def refuse_unknown_members(asked: serializers.BaseSerializer[Any], data: Any) -> None:
    """Raise ValidationError by name where the data, or anything nested in it, has a member that is not asked for."""
    faults = _unknown_in(asked, data)
    if faults:
        raise serializers.ValidationError(faults, code="unknown")


def _unknown_in(asked: Any, data: Any) -> Any:
    if isinstance(asked, serializers.ListSerializer):
        found = [_unknown_in(asked.child, one) for one in data] if isinstance(data, list) else []
        return found if any(found) else []
    if not isinstance(asked, serializers.Serializer) or not isinstance(data, dict):
        return {}
    faults: dict[str, Any] = {}
    for name, value in data.items():
        field = asked.fields.get(name)
        if field is None:
            faults[name] = [f"This is not asked for. What is: {', '.join(asked.fields)}."]
        elif deeper := _unknown_in(field, value):
            faults[name] = deeper
    return faults
