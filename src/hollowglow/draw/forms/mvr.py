"""A display as an MVR scene (DIN SPEC 15801:2023): every prop with its kind's file, mode, address and place in millimetres."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from xml.etree.ElementTree import Element, SubElement

from hollowglow import __version__
from hollowglow.draw.forms.package import named, packed, xml_bytes, xml_text

SLOTS = 512
_UPRIGHT = "{1.000000,0.000000,0.000000}{0.000000,1.000000,0.000000}{0.000000,0.000000,1.000000}"


@dataclass(frozen=True, slots=True)
class Fixture:
    """One prop in the scene.

    Attributes:
        id, string: of the prop and its string.
        number: in the display, from 1.
        gdtf, mode: file and mode of its kind.
        addresses: (universe, slot) where each DMX break begins, both from 1.
        place_m: x, y, z in the scene, z up, m.
    """

    id: str
    string: str
    number: int
    gdtf: str
    mode: str
    addresses: tuple[tuple[int, int], ...]
    place_m: tuple[float, float, float]


def absolute(universe: int, slot: int) -> int:
    """Return a DMX address counted through from universe 1, as MVR wants it; both from 1.

    >>> absolute(1, 1), absolute(2, 1), absolute(3, 512)
    (1, 513, 1536)
    """
    return SLOTS * (universe - 1) + slot


def mvr_file(display: str, fixtures: Sequence[Fixture], kinds: Mapping[str, bytes]) -> bytes:
    """Return the scene as an .mvr file, the same bytes for the same display.

    Args:
        display: its name.
        fixtures: every prop, those of a string together.
        kinds: the fixture types' files by name.
    """
    root = Element(
        "GeneralSceneDescription", verMajor="1", verMinor="6", provider="Hollowglow", providerVersion=__version__
    )
    SubElement(root, "UserData")
    scene = SubElement(root, "Scene")
    SubElement(scene, "AUXData")
    layers = SubElement(scene, "Layers")
    for string, own in groupby(fixtures, lambda one: one.string):
        layer = SubElement(layers, "Layer", name=xml_text(string), uuid=named("layer", display, string))
        children = SubElement(layer, "ChildList")
        for one in own:
            _fixture(children, display, one)
    return packed({"GeneralSceneDescription.xml": xml_bytes(root), **kinds})


def _fixture(children: Element, display: str, one: Fixture) -> None:
    made = SubElement(children, "Fixture", name=xml_text(one.id), uuid=named("prop", display, one.id))
    x, y, z = (f"{1e3 * value + 0.0:.3f}" for value in one.place_m)
    texts = {
        "Matrix": _UPRIGHT + "{" + f"{x},{y},{z}" + "}",
        "GDTFSpec": one.gdtf,
        "GDTFMode": one.mode,
    }
    for tag, text in texts.items():
        SubElement(made, tag).text = text
    addresses = SubElement(made, "Addresses")
    for index, (universe, slot) in enumerate(one.addresses):
        SubElement(addresses, "Address", {"break": str(index)}).text = str(absolute(universe, slot))
    SubElement(made, "FixtureID").text = str(one.number)
    SubElement(made, "FixtureIDNumeric").text = str(one.number)
    SubElement(made, "UnitNumber").text = str(one.number)
