"""What is told alike on screen and on paper, in words."""

from remnants.report.wording import counted


def test_sights_that_are_alike_are_told_as_one_with_how_many_there_are() -> None:
    seam = "Seam with the floor, 12 in: hard to find: it runs with the pile."
    shade = "Carpet of R-1 beside the floor: hard to find."
    assert counted([seam, shade, seam, shade]) == (
        "2 seams with the floor, 12 in each: hard to find: they run with the pile.",
        f"{shade} (2 of these)",
    )
    assert counted([seam, shade]) == (seam, shade)
