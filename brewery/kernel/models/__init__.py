"""People, the requests they made, and the jobs that follow."""

from brewery.kernel.models.jobs import Job, ScheduleMark
from brewery.kernel.models.requests import Request
from brewery.kernel.models.seals import Seal, SealedRequest
from brewery.kernel.models.users import User

__all__ = ["Job", "Request", "ScheduleMark", "Seal", "SealedRequest", "User"]
