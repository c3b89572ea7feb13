"""What sits where inside a shell: the solid that it is, the carrier in it, and the place of every light."""

from hollowglow.analysis.prop.inside.carrier import Body, Face, FaceName, body_of
from hollowglow.analysis.prop.inside.frame import Frame, frame_of
from hollowglow.analysis.prop.inside.layout import Places, Size, arrangement_of, places, size_of

__all__ = [
    "Body",
    "Face",
    "FaceName",
    "Frame",
    "Places",
    "Size",
    "arrangement_of",
    "body_of",
    "frame_of",
    "places",
    "size_of",
]
