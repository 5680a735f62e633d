"""Malt: what is usual of it."""

from brewery.science.malt import BASE_MALT_SHARE, PALE_MALT, WHOLE_MALT_MONTHS


def test_a_grist_of_little_base_malt_is_doubted_and_not_refused():
    # 50 to 100 %: common practice, forum.northernbrewer.com 18166.
    assert BASE_MALT_SHARE.doubt(49.9).startswith("A share of base malt of 49.9 % is unusual: 50 to 100 %")
    assert (BASE_MALT_SHARE.doubt(50), BASE_MALT_SHARE.doubt(100)) == ("", "")


def test_ordinary_pale_malt_is_usual_in_every_figure():
    # An ordinary certificate: common practice, no source.
    ordinary = (4.2, 81.5, 10.8, 40, 88, 300, 95, 150, 165, 3.5, 12)
    assert [band.doubt(value) for band, value in zip(PALE_MALT, ordinary, strict=True)] == [""] * len(PALE_MALT)


def test_whole_malt_keeps_for_a_year():
    # brewingwithbriess.com: stable up to 12 months if stored properly.
    assert (WHOLE_MALT_MONTHS.doubt(12), bool(WHOLE_MALT_MONTHS.doubt(13))) == ("", True)
