"""The cellar board: every vessel on one page, what needs attention first."""

from typing import Any, ClassVar, cast

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.models import User
from brewery.kernel.pages.access import Page
from brewery.production.queries.cellar import cellar_board


class CellarBoard(Page):
    """Every tank, brink and silo with what it holds and what is due next."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "production/cellar/board.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        today = brewery_day()
        board = cellar_board(today)
        groups = [("Tanks and brinks", board.tanks), ("Silos", board.silos)]
        may_read = cast(User, self.request.user).has_right(Right.CELLAR)
        return super().get_context_data(groups=groups, today=today, may_read=may_read, **kwargs)
