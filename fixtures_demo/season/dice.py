"""Chance, the same in every run and under every version of Python."""

import random
from collections.abc import Sequence
from typing import TypeVar

T = TypeVar("T")


class Dice:
    """Draws from `random.Random.random` alone, the one sequence that Python promises to keep for a seed."""

    def __init__(self, seed: int) -> None:
        self._random = random.Random(seed)  # noqa: S311 - a story, not a secret

    def chance(self, probability: float) -> bool:
        """True with the given probability."""
        return self._random.random() < probability

    def between(self, low: int, high: int) -> int:
        """A whole number from `low` to `high`, both included."""
        return low + int(self._random.random() * (high - low + 1))

    def pick(self, choices: Sequence[T]) -> T:
        """One of the choices."""
        return choices[self.between(0, len(choices) - 1)]

    def pick_some(self, choices: Sequence[T], count: int) -> list[T]:
        """Up to `count` different ones of the choices, in the order they were drawn."""
        left = list(choices)
        return [left.pop(self.between(0, len(left) - 1)) for _ in range(min(count, len(left)))]
