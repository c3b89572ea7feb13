"""A closed diffuse sphere against the theory of the integrating sphere (Jacquez and Kuppenheim, JOSA 45 (1955), 460)."""

from __future__ import annotations

import math

import numpy as np
import pytest

from hollowglow.analysis.prop.optics import Enclosure, PointLight, Sphere, Wall, enclosure, interior

R = 0.075
WALL = Wall((0.45, 0.3, 0.1), (0.45, 0.6, 0.88))


@pytest.fixture(scope="module")
def ball() -> Enclosure:
    return enclosure(Sphere(2 * R), None, 1500)


@pytest.mark.parametrize("beam", [20.0, 60.0, 120.0, 165.0])
@pytest.mark.parametrize(
    ("place", "axis"),
    [((0, 0, R), (0, 0, 1)), ((0.03, 0.01, 0.05), (1, 2, -1)), ((0, 0, 0.149), (0, 1, 0.2)), ((R, 0, R), (-1, 0, 0))],
)
def test_the_light_thrown_about_is_even_wherever_the_lamp_is(
    ball: Enclosure, place: tuple[float, ...], axis: tuple[float, ...], beam: float
) -> None:
    flux = np.array([3.0, 5.0, 2.0])
    glow = interior(ball, WALL).glow([PointLight(np.array(place), np.array(axis), beam, tuple(flux.tolist()))])
    rho, tau = np.array(WALL.reflectance), np.array(WALL.transmittance)
    thrown = glow.irradiance_lx - glow.direct_lx
    expected = rho * flux / (4.0 * math.pi * R * R * (1.0 - rho))
    np.testing.assert_allclose(thrown, np.broadcast_to(expected, thrown.shape), rtol=5e-3)
    np.testing.assert_allclose(glow.flux_out_lm / flux, tau / (1.0 - rho), rtol=5e-3)
    np.testing.assert_allclose(glow.flux_in_lm, flux, rtol=1e-12)


def test_exitance_is_pi_times_luminance(ball: Enclosure) -> None:
    glow = interior(ball, WALL).glow([PointLight(np.array([0.01, 0, R]), np.array([1.0, 0, 0]), 90.0, (1.0, 1.0, 1.0))])
    leaving = math.pi * glow.luminance_cd_m2
    np.testing.assert_allclose(leaving, glow.irradiance_lx * np.array(WALL.transmittance), rtol=1e-12)
    np.testing.assert_allclose(ball.wall.area @ leaving, glow.flux_out_lm, rtol=1e-12)
