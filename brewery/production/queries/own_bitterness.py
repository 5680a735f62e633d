"""What a brewery's own brews of a beer measured of the bitterness that was foretold: better than any table."""

from brewery.production.queries.consistency import FEWEST, consistency_of
from brewery.science.estimates import Estimate, next_of
from inventory.models import Material


def own_ratio(beer: Material) -> Estimate | None:
    """Return measured by foretold bitterness of the beer's brews, and the interval of one more; None below three."""
    told = next(series for series in consistency_of(beer).series if series.key == "bitterness")
    pairs = zip(told.values, told.compared, strict=True)
    ratios = [measured / foretold for measured, foretold in pairs if measured is not None and foretold]
    if len(ratios) < FEWEST:
        return None
    expected = next_of(ratios)
    return Estimate(expected.value, max(0.0, expected.low), expected.high)
