"""Whether the volumes of a transfer or filtration are plausible: what is only unusual is doubted, never refused."""

from brewery.science.bands import Band
from brewery.science.losses import USUAL_LOSSES

FILTRATION = next(band for band in USUAL_LOSSES if band.label == "Loss in filtration")
TRANSFER = Band("Loss in a transfer", 0, 1, "%", "common practice, no source")
_SLIVER = 0.05


def volume_doubts(held_micro: int, arrives_micro: int, loss_micro: int, usual: Band = FILTRATION) -> list[str]:
    """Return sentences about what is unusual: the loss in % of what left, and a small rest that may be a loss.

    A rest under a twentieth of what the tank held is doubted (common practice, no source).
    """
    left = arrives_micro + loss_micro
    doubts = [usual.doubt(round(100 * loss_micro / left, 2))] if left else []
    rest = held_micro - left
    if 0 < rest < _SLIVER * held_micro:
        doubts.append(
            f"By the book {100 * rest / held_micro:.1f} % of the tank stay behind. If the tank is empty, that is a "
            "loss: add it to the loss, or gauge the tank first."
        )
    return [doubt for doubt in doubts if doubt]
