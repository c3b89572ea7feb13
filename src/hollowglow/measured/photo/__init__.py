"""How bright and which colour lit props are, from photographs of them.

pictures = [read_photograph("a.jpg"), read_photograph("b.jpg")]     # the same scene, two exposures
(scene,) = scenes_of(pictures)                                       # on one scale, checked where they overlap
props = measure(scene, find(scene))                                  # numbered in reading order
judge(props, parse_labels("1-6=float,7=acorn"), scene.name)         # one figure for each kind, and what sticks out
"""

from strandwright.photo.caution import PWM_HZ, Caution
from strandwright.photo.exposure import Exposure, parse_exposure
from strandwright.photo.find import Found, find
from strandwright.photo.judge import Judged, KindLight, Outlier, about_edges, about_props, judge
from strandwright.photo.labels import LEFT_OUT, check_labels, lit_props, parse_labels, ranges
from strandwright.photo.measure import Measured, measure
from strandwright.photo.overlay import Mark, marks, overlay
from strandwright.photo.picture import Photograph, linear_photograph, srgb_photograph
from strandwright.photo.read import read_photograph
from strandwright.photo.scene import Scene, scenes_of
from strandwright.photo.vignetting import CosFourth, EvenSurface, Vignetting, even_surface

__all__ = [
    "LEFT_OUT",
    "PWM_HZ",
    "Caution",
    "CosFourth",
    "EvenSurface",
    "Exposure",
    "Found",
    "Judged",
    "KindLight",
    "Mark",
    "Measured",
    "Outlier",
    "Photograph",
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
