"""A brew sheet for another length of brew: every amount in proportion, exact to the micro-unit."""

from dataclasses import replace

from brewery.production.queries.sheet_contents import GrainLine, HopLine, SheetContent
from brewery.science.gravity import extract_kg
from brewery.science.units import MICRO, split_micro

_MILLI, _L_PER_HL = 1_000, 100


def scaled(content: SheetContent, cold_wort_micro: int) -> SheetContent:
    """Return what the sheet says for so much cold wort. Shares, times and temperatures stay.

    Each amount is rounded half-even once; the grain is split so that it adds up to its scaled total.
    """
    scale = _Scale(content.cold_wort_micro, cold_wort_micro)
    return replace(
        content,
        cold_wort_micro=cold_wort_micro,
        mash_liquor_micro=scale.maybe(content.mash_liquor_micro),
        sparge_liquor_micro=scale.maybe(content.sparge_liquor_micro),
        grains=_scaled_grain(content.grains, scale),
        hops=tuple(_scaled_hop(hop, scale) for hop in content.hops),
        salts=tuple(replace(salt, quantity_micro=scale.of(salt.quantity_micro)) for salt in content.salts),
    )


def grain_micro(content: SheetContent) -> list[int]:
    """Return what each grain of the sheet weighs, in milligrams and in their order.

    Shares are of the weight that gives the original gravity at the sheet's yield.
    """
    weights = [grain.weight_micro for grain in content.grains if grain.weight_micro is not None]
    if weights or not content.grains:
        return weights
    return split_micro(grist_micro(content), [grain.share_ppm or 0 for grain in content.grains])


def grist_micro(content: SheetContent) -> int:
    """Return what all the grain weighs, in milligrams: as written, or what the gravity needs at the sheet's yield."""
    weights = [grain.weight_micro for grain in content.grains if grain.weight_micro is not None]
    return sum(weights) if weights else round(extract_wanted_kg(content) / (content.yield_ppm / MICRO) * MICRO)


def extract_wanted_kg(content: SheetContent) -> float:
    """Return the extract in the cold wort at the original gravity, in kg."""
    return extract_kg(cold_hl(content), content.original_gravity_milli_p / _MILLI)


def cold_hl(content: SheetContent) -> float:
    """Return the volume of the cold wort in hL."""
    return content.cold_wort_micro / MICRO / _L_PER_HL


class _Scale:
    """The exact ratio of two lengths."""

    def __init__(self, written: int, wanted: int) -> None:
        self.written, self.wanted = written, wanted

    def of(self, micro: int) -> int:
        """Return the amount in proportion, rounded half-even."""
        whole, rest = divmod(micro * self.wanted, self.written)
        is_up = 2 * rest > self.written or (2 * rest == self.written and whole % 2 == 1)
        return whole + is_up

    def maybe(self, micro: int | None) -> int | None:
        """Return the amount in proportion, where there is one."""
        return None if micro is None else self.of(micro)


def _scaled_grain(grains: tuple[GrainLine, ...], scale: _Scale) -> tuple[GrainLine, ...]:
    weights = [grain.weight_micro for grain in grains if grain.weight_micro is not None]
    if not weights:
        return grains
    parts = split_micro(scale.of(sum(weights)), weights)
    return tuple(replace(grain, weight_micro=part) for grain, part in zip(grains, parts, strict=True))


def _scaled_hop(hop: HopLine, scale: _Scale) -> HopLine:
    return replace(hop, weight_micro=scale.maybe(hop.weight_micro), alpha_micro=scale.maybe(hop.alpha_micro))
