"""How bright and which colour lit props are, from photographs of them.

pictures = [read_photograph("a.jpg"), read_photograph("b.jpg")]     # the same scene, two exposures
(scene,) = scenes_of(pictures)                                       # on one scale, checked where they overlap
props = measure(scene, find(scene))                                  # numbered in reading order
judge(props, parse_labels("1-6=float,7=acorn"), scene.name)         # one figure for each kind, and what sticks out
"""

from hollowglow.measured.photo.caution import PWM_HZ, Caution
from hollowglow.measured.photo.exposure import Exposure, parse_exposure
from hollowglow.measured.photo.find import FoundProps, find
from hollowglow.measured.photo.judge import JudgedKinds, Outlier, PhotographedKind, about_edges, about_props, judge
from hollowglow.measured.photo.labels import LEFT_OUT, check_labels, lit_props, parse_labels, ranges
from hollowglow.measured.photo.measure import MeasuredProp, measure
from hollowglow.measured.photo.overlay import OverlayMark, marks, overlay
from hollowglow.measured.photo.picture import Photograph, linear_photograph, srgb_photograph
from hollowglow.measured.photo.read import read_photograph
from hollowglow.measured.photo.scene import Scene, scenes_of
from hollowglow.measured.photo.vignetting import CosFourth, EvenSurface, Vignetting, even_surface

__all__ = [
    "LEFT_OUT",
    "PWM_HZ",
    "Caution",
    "CosFourth",
    "EvenSurface",
    "Exposure",
    "FoundProps",
    "JudgedKinds",
    "MeasuredProp",
    "Outlier",
    "OverlayMark",
    "Photograph",
    "PhotographedKind",
    "Scene",
    "Vignetting",
    "about_edges",
    "about_props",
    "check_labels",
    "even_surface",
    "find",
    "judge",
    "linear_photograph",
    "lit_props",
    "marks",
    "measure",
    "overlay",
    "parse_exposure",
    "parse_labels",
    "ranges",
    "read_photograph",
    "scenes_of",
    "srgb_photograph",
]
