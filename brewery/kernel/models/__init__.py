"""People and the requests they made."""

from brewery.kernel.models.requests import Request
from brewery.kernel.models.users import User

__all__ = ["Request", "User"]
