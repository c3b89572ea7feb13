"""What a light meter showed is read as a person types it, and becomes light by the square of the distance."""

import pytest

from hollowglow.measured.meter import far_enough, intensity_cd, parse_meter


def test_lux_become_candela_by_the_square_of_the_distance() -> None:
    # CIE 070: I = E d². 12 lx at 2 m are 48 cd; 1 lx of other light goes off first.
    assert intensity_cd(12.0, 2.0) == 48.0
    assert intensity_cd(13.0, 2.0, dark_lux=1.0) == 48.0
    assert far_enough(0.75, 0.15)
    assert not far_enough(0.74, 0.15)


@pytest.mark.parametrize(
    ("text", "luminance", "intensity", "distance"),
    [
        ("float=12 lux at 2 m", None, 48.0, 2.0),
        ("float = 12.5 lx @ 200cm, dark 0.5 lx", None, 48.0, 2.0),
        # 1 fc = 1 lm/ft², so 1.1 fc at 6 ft are 39.6 cd (IES handbook).
        ("float=1.1 fc at 6 ft", None, 39.6, 1.8288),
        ("float=850 cd/m2", 850.0, None, None),
        ("float=850 nits", 850.0, None, None),
        # 1 fL = 3.426 cd/m² (IES handbook).
        ("float=100 fL", 342.6, None, None),
    ],
)
def test_meters_as_typed(text: str, luminance: float | None, intensity: float | None, distance: float | None) -> None:
    read = parse_meter(text)
    assert read.kind == "float"
    assert (read.luminance_cd_m2, read.intensity_cd, read.distance_m) == (
        luminance and pytest.approx(luminance, rel=1e-4),
        intensity and pytest.approx(intensity, rel=1e-4),
        distance and pytest.approx(distance),
    )


@pytest.mark.parametrize(
    "text", ["float", "=12 lux at 2 m", "float=12 lux", "float=12 lux at 2 miles", "float=12", "float=x cd/m2"]
)
def test_what_no_meter_shows(text: str) -> None:
    with pytest.raises(ValueError, match="expected KIND=READING, such as"):
        parse_meter(text)


@pytest.mark.parametrize("text", ["float=0 cd/m2", "float=12 lux at 0 m", "float=1 lux at 2 m, dark 2 lux"])
def test_no_light_is_no_reading(text: str) -> None:
    with pytest.raises(
        ValueError, match="expected a reading and a distance above zero, and less light with the prop dark"
    ):
        parse_meter(text)
