"""A display in open forms that other tools read: IES photometry, DXF templates, GDTF kinds, MVR display."""

from hollowglow.draw.forms.dxf import DxfFace, DxfStrip, face_dxf, strip_dxf
from hollowglow.draw.forms.gdtf import FixtureKind, FixtureMode, gdtf_file
from hollowglow.draw.forms.ies import Photometry, ies_text, solid_angle_flux
from hollowglow.draw.forms.mvr import Fixture, absolute, mvr_file
from hollowglow.draw.forms.ways import grid, hung, type_c

__all__ = [
    "DxfFace",
    "DxfStrip",
    "Fixture",
    "FixtureKind",
    "FixtureMode",
    "Photometry",
    "absolute",
    "face_dxf",
    "gdtf_file",
    "grid",
    "hung",
    "ies_text",
    "mvr_file",
    "solid_angle_flux",
    "strip_dxf",
    "type_c",
]
