"""What the API answers at an address that it does not have."""

from typing import Any

from rest_framework.exceptions import NotFound
from rest_framework.request import Request
from rest_framework.views import APIView

from brewery.kernel.api.access import Anyone


class Absent(APIView):
    """Says that there is nothing here, to everybody."""

    permission_classes = (Anyone,)
    schema = None

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Raises NotFound, for every method."""
        ending = "" if request.path.endswith("/") else " Addresses end with a slash."
        raise NotFound(f"There is nothing at this address.{ending}")
