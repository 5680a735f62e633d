"""Notices for quality: what those who know more of the record than the stock does have to say on quality's desk."""

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Notice:
    """One sentence, the page that has more of it, and whether somebody must look."""

    words: str
    url_name: str
    needs_attention: bool


Teller = Callable[[], Notice]

_tellers: list[Teller] = []


def told_by(teller: Teller) -> Teller:
    """From now on this function's notice is among them."""
    if teller not in _tellers:
        _tellers.append(teller)
    return teller


def notices() -> list[Notice]:
    """Return what there is to say now."""
    return [teller() for teller in _tellers]
