"""The diary: what is still to be done, in order of time."""

import heapq
from collections.abc import Callable
from datetime import date, datetime, timedelta

from .days import moment

Task = Callable[[], None]


class Diary:
    """Carries out tasks in order of time and gives every record a minute of its own."""

    def __init__(self, start: datetime) -> None:
        self.now = start
        self._written = start
        self._tasks: list[tuple[datetime, int, Task]] = []
        self._count = 0

    @property
    def today(self) -> date:
        """The day the diary stands at."""
        return self.now.date()

    def at(self, day: date, clock: str, task: Task) -> None:
        """The task will be carried out then, or right away where that moment is past."""
        self._count += 1
        heapq.heappush(self._tasks, (moment(day, clock), self._count, task))

    def after(self, minutes: int, task: Task) -> None:
        """The task will be carried out so many minutes from now."""
        self._count += 1
        heapq.heappush(self._tasks, (self.now + timedelta(minutes=minutes), self._count, task))

    def run(self, until: datetime) -> None:
        """Every task due by then has been carried out; later ones are left undone."""
        while self._tasks and self._tasks[0][0] <= until:
            due, _, task = heapq.heappop(self._tasks)
            self.now = max(self.now, due)
            task()

    def minute(self) -> datetime:
        """A minute that no other record has, now or just after."""
        self.now = max(self.now, self._written + timedelta(minutes=1))
        self._written = self.now
        return self.now
