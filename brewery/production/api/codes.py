"""Fields that name brews and packaging runs."""

from typing import Any

from brewery.kernel.api.fields import CodeField
from brewery.production.queries.work import brew_of, run_of, work_of


class BrewField(CodeField):
    """A brew by its code."""

    def __init__(self, **options: Any) -> None:
        super().__init__(thing="brew", find=brew_of, **options)


class RunField(CodeField):
    """A packaging run by its code."""

    def __init__(self, **options: Any) -> None:
        super().__init__(thing="packaging run", find=run_of, **options)


class WorkField(CodeField):
    """A brew or a packaging run by its code: no code names one of each."""

    def __init__(self, **options: Any) -> None:
        super().__init__(thing="brew or packaging run", find=work_of, **options)
