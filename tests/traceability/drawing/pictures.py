"""A drawing read back: which boxes and lines it holds, and where."""

import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass

from traceability.drawing.placing import BOX_HEIGHT, BOX_WIDTH

SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Box:
    """The box of one node."""

    left: float
    top: float

    @property
    def right(self) -> float:
        return self.left + BOX_WIDTH

    def overlaps(self, other: "Box") -> bool:
        return abs(self.left - other.left) < BOX_WIDTH and abs(self.top - other.top) < BOX_HEIGHT


def parsed(drawing: str) -> ET.Element:
    """Return the drawing as elements; raises where it is not well-formed XML."""
    return ET.fromstring(drawing)  # noqa: S314 - our own drawing


def boxes_of(drawing: str) -> list[tuple[int, Box]]:
    """Return the node and the box of every box drawn."""
    found = []
    for element in parsed(drawing).iter():
        if "data-node" in element.attrib:
            place = re.fullmatch(r"translate\((\S+) (\S+)\)", element.attrib["transform"])
            found.append((int(element.attrib["data-node"]), Box(float(place[1]), float(place[2]))))
    return found


def lines_of(drawing: str) -> list[tuple[int, int, str]]:
    """Return parent, child and kind of every line drawn."""
    return [
        (int(each.attrib["data-parent"]), int(each.attrib["data-child"]), each.attrib["class"].split()[1])
        for each in parsed(drawing).iter(f"{SVG}path")
        if "data-parent" in each.attrib
    ]
