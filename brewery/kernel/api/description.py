"""Where the API describes itself."""

from drf_spectacular.views import SpectacularAPIView

from brewery.kernel.api.access import Anyone


class Description(SpectacularAPIView):
    """GET: the description of the API, as OpenAPI 3.1."""

    permission_classes = (Anyone,)
