"""The figures on an axis, as a person reads them."""

import pytest

from brewery.kernel.drawing.scales import figure


@pytest.mark.parametrize(
    ("value", "told"),
    [(0, "0"), (0.1234567, "0.1235"), (999.9, "999.9"), (8000, "8\u2009000"), (-12_345.6, "-12\u2009346"), (5, "5")],
)
def test_a_figure_has_four_digits_and_never_a_power_of_ten(value: float, told: str):
    assert figure(value) == told
