"""The yeast lot that an address names."""

from django.http import Http404

from inventory.models import Lot, Material


def yeast_at(key: int) -> Lot:
    """Return the yeast lot of that key, with its material and supplier. Raises Http404."""
    rows = Lot.objects.select_related("material", "supplier")
    found = rows.filter(pk=key, material__kind=Material.Kind.YEAST).first()
    if found is None:
        raise Http404(f"There is no yeast lot {key}.")
    return found
