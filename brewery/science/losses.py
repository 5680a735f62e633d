"""Losses: what becomes of the volume from the hot wort to the beer that is filled, and whether the extract adds up.

There is no general standard of loss; compare a brewery with itself (mbaa.com, brewblog 55).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum

from brewery.science.bands import Band
from brewery.science.contraction import WORT_CONTRACTION_PCT, cold_volume_hl
from brewery.science.ranges import ANY_MASS_KG, VOLUME_HL, Range

LOSS_PCT = Range(0, 100, "%", "Write the loss of this step in % of what entered it.")

_BARNES = "Barnes, MBAA Technical Quarterly 1976 13(4) 208"
_NARZISS = "Narziss, Abriss der Bierbrauerei 2017, as cited on hobbybrauer.de"
USUAL_LOSSES = (
    Band("Loss to hops and trub", 1, 3, "%", "Zentralblatt für das Deutsche Reich 46 (1918) 1011"),
    Band("Loss in fermentation of ale", 1.5, 1.75, "%", _BARNES),
    Band("Loss in fermentation of lager", 2.0, 2.5, "%", _BARNES),
    Band("Loss in filtration", 0.4, 0.8, "%", "biersekte.de, Bierschwund"),
    Band("Loss from hot wort to beer sold", 8, 24, "% of the hot wort", _NARZISS),
)


@dataclass(frozen=True, slots=True)
class Step:
    """One step on the way, and what of the volume that enters it is lost, in %. Raises OutOfRange beyond 0 to 100."""

    label: str
    loss_pct: float

    def __post_init__(self) -> None:
        LOSS_PCT.check("loss_pct", self.loss_pct)


@dataclass(frozen=True, slots=True)
class LossChain:
    """The volumes in hL at 20 °C, cold wort first and then after each step, and the loss in % on both bases."""

    cold_hl: float
    after_hl: tuple[float, ...]
    of_hot_wort_pct: float
    of_cold_wort_pct: float


def loss_chain(hot_hl: float, steps: Sequence[Step], contraction_pct: float = WORT_CONTRACTION_PCT) -> LossChain:
    """Return the volumes through the steps, in their order, each loss a share of what enters. Raises OutOfRange."""
    cold = volume = cold_volume_hl(hot_hl, contraction_pct)
    after = tuple(volume := volume * (1 - step.loss_pct / 100) for step in steps)
    return LossChain(cold, after, 100 * (1 - volume / hot_hl), 100 * (1 - volume / cold))


def volume_loss_pct(cast_out_hl: float, sold_hl: float) -> float:
    """Return the loss from hot wort to beer in % of the hot wort: contraction is in it (Narziss). Raises OutOfRange.

    Loss of extract compares kilograms of extract instead. More beer than wort is refused.
    """
    VOLUME_HL.check("cast_out_hl", cast_out_hl)
    Range(0, cast_out_hl, "hL", "No more comes out than was cast out: look up what was added.").check(
        "sold_hl", sold_hl
    )
    return 100 * (cast_out_hl - sold_hl) / cast_out_hl


def unbooked_extract_kg(entered_kg: float, left_kg: Sequence[float], booked_loss_kg: float = 0) -> float:
    """Return the extract that nothing accounts for, in kg; 0 where inputs equal outputs and losses booked.

    Below 0 more left than entered, which no brewhouse does: an error of measurement, or a record that is missing.
    Raises OutOfRange.
    """
    ANY_MASS_KG.check("entered_kg", entered_kg)
    ANY_MASS_KG.check("booked_loss_kg", booked_loss_kg)
    for mass_kg in left_kg:
        ANY_MASS_KG.check("left_kg", mass_kg)
    return fsum((entered_kg, -booked_loss_kg, *(-mass_kg for mass_kg in left_kg)))
