"""A lineage of yeast as a tree: time from left to right, one box a lot, mothers joined to daughters.

Time is kept in order but not to scale: what came close together stands close, and long pauses are drawn short, so that
years of crops stay readable. A ruler above says the months.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from html import escape

BOX_WIDTH, BOX_HEIGHT = 148, 58
GAP_X, GAP_Y = 44, 14
EDGE, RULER = 16, 40
A_DAY, MOST_AT_ONCE = 8, 96
"""Pixels for a day, and the most that a pause is drawn as."""
MONTH_WIDTH = 64


@dataclass(frozen=True)
class Crop:
    """One lot as it is drawn. `marks` are words for what became of it; `is_subject` is whom the page is about."""

    key: int
    code: str
    generation: int | None
    made_on: date
    mothers: tuple[int, ...]
    marks: str
    href: str
    is_over: bool = False
    is_subject: bool = False


@dataclass(frozen=True)
class _Place:
    x: float
    lane: int

    @property
    def y(self) -> float:
        return RULER + EDGE + self.lane * (BOX_HEIGHT + GAP_Y)

    @property
    def middle(self) -> float:
        return self.y + BOX_HEIGHT / 2


def draw(crops: Sequence[Crop], title: str) -> str:
    """Return the tree as one `<svg>` element; the crops stand in order of time. Every box is a link."""
    places = _places(crops)
    width = max((place.x for place in places.values()), default=0) + BOX_WIDTH + EDGE
    height = max((place.y for place in places.values()), default=0) + BOX_HEIGHT + EDGE
    parts = [
        *_ruler(crops, places, height),
        *(_line(places[mother], places[crop.key]) for crop in crops for mother in crop.mothers if mother in places),
        *(_box(crop, places[crop.key]) for crop in crops),
    ]
    name = escape(f"{title}: {len(crops)} lots of yeast, mothers left of daughters; the table below says the same")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="lineage" role="figure" aria-label="{name}" '
        f'width="{width:.0f}" height="{height:.0f}" viewBox="0 0 {width:.0f} {height:.0f}">{"".join(parts)}</svg>'
    )


def _places(crops: Sequence[Crop]) -> dict[int, _Place]:
    """Return where each box stands: never left of an older one, and clear of its mothers and of its lane."""
    places: dict[int, _Place] = {}
    ends: list[tuple[float, int]] = []  # of each lane, where its last box ends and whose it is
    x, last = float(EDGE), None
    for crop in crops:
        if last is not None:
            x += min((crop.made_on - last).days * A_DAY, MOST_AT_ONCE)
        last = crop.made_on
        mothers = [places[mother] for mother in crop.mothers if mother in places]
        x = max([x, *(mother.x + BOX_WIDTH + GAP_X for mother in mothers)])
        lane = _lane(crop, x, mothers, ends)
        places[crop.key] = _Place(x, lane)
        ends[lane : lane + 1] = [(x + BOX_WIDTH, crop.key)]
    return places


def _lane(crop: Crop, x: float, mothers: Sequence[_Place], ends: list[tuple[float, int]]) -> int:
    """Return the lane: the one in which a mother is the last, or the first that is free since the mothers' time."""
    for lane, (_, key) in enumerate(ends):
        if key in crop.mothers:
            return lane
    free_since = min((mother.x + BOX_WIDTH for mother in mothers), default=x - GAP_X)
    for lane, (end, _) in enumerate(ends):
        if end <= free_since:
            return lane
    ends.append((0, 0))
    return len(ends) - 1


def _ruler(crops: Sequence[Crop], places: Mapping[int, _Place], height: float) -> list[str]:
    """Return a mark for the first lot of each month; where marks would overlap, the later is left out."""
    drawn, month, free = [], None, 0.0
    for crop in crops:
        x = places[crop.key].x
        if (crop.made_on.year, crop.made_on.month) != month and x >= free:
            month, free = (crop.made_on.year, crop.made_on.month), x + MONTH_WIDTH
            drawn.append(f'<line class="lineage-month" x1="{x:.0f}" x2="{x:.0f}" y1="{RULER - 8}" y2="{height:.0f}"/>')
            drawn.append(f'<text class="lineage-time" x="{x:.0f}" y="{RULER - 16}">{crop.made_on:%Y-%m}</text>')
    return drawn


def _line(mother: _Place, daughter: _Place) -> str:
    left, turn = mother.x + BOX_WIDTH, mother.x + BOX_WIDTH + GAP_X / 2
    return (
        f'<path class="lineage-line" d="M{left:.0f} {mother.middle:.0f}H{turn:.0f}V{daughter.middle:.0f}'
        f'H{daughter.x:.0f}"/>'
    )


def _box(crop: Crop, place: _Place) -> str:
    kind = "lineage-lot" + (" is-over" if crop.is_over else "") + (" is-subject" if crop.is_subject else "")
    generation = "no generation" if crop.generation is None else f"generation {crop.generation}"
    told = escape(f"{crop.code}, {generation}, {crop.made_on.isoformat()}, {crop.marks}", quote=True)
    x, y = place.x, place.y
    return (
        f'<a class="{kind}" href="{escape(crop.href, quote=True)}" aria-label="{told}">'
        f'<rect x="{x:.0f}" y="{y:.0f}" width="{BOX_WIDTH}" height="{BOX_HEIGHT}" rx="4"/>'
        f'<text class="lineage-code" x="{x + 8:.0f}" y="{y + 19:.0f}">{escape(crop.code)}</text>'
        f'<text x="{x + 8:.0f}" y="{y + 35:.0f}">{generation}, {crop.made_on:%d %b}</text>'
        f'<text x="{x + 8:.0f}" y="{y + 50:.0f}">{escape(crop.marks)}</text></a>'
    )
