"""Words of a picture that do not fit into one line."""

from hollowglow.draw.sheet.layout import wrapped


def test_a_number_stays_with_its_unit_and_a_measure_with_its_twin() -> None:
    # Forty millimetres hold about 28 letters of 2.6 mm, which would end behind 0.47.
    lines = wrapped("12 lights, body 12.0 mm / 0.47 in, beam 120°", 40.0, 2.6)
    assert [line for line in lines if "12.0 mm / 0.47 in" in line] != []
    assert " ".join(lines) == "12 lights, body 12.0 mm / 0.47 in, beam 120°"
    assert wrapped("seen  from\n10 m / 33 ft", 14.0, 2.6) == ("seen from", "10 m / 33 ft")
