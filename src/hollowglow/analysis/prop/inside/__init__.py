"""What sits where inside a shell: the solid that it is, the carrier in it, and the place of every light."""

from hollowglow.analysis.prop.inside.carrier import Body, CarrierFace, FaceName, body_of
from hollowglow.analysis.prop.inside.frame import ShellFrame
from hollowglow.analysis.prop.inside.layout import LightSize, Places, arrangement_of, places, size_of
from hollowglow.analysis.prop.inside.shapes import SHAPES, frame_of

__all__ = [
    "SHAPES",
    "Body",
    "CarrierFace",
    "FaceName",
    "LightSize",
    "Places",
    "ShellFrame",
    "arrangement_of",
    "body_of",
    "frame_of",
    "places",
    "size_of",
]
