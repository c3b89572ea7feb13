"""A kind as a GDTF fixture type (DIN SPEC 15800:2022): its size in metres, its light, and a DMX mode for each way it is fed."""

from __future__ import annotations

from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement

from hollowglow.draw.forms.package import named, number, packed, plain_name, xml_bytes, xml_text

COLOURS = ("Red", "Green", "Blue", "White")
_ADDS = ("ColorAdd_R", "ColorAdd_G", "ColorAdd_B", "ColorAdd_W")
_PRETTY = ("R", "G", "B", "W")
MAKER = "Self-built"
# File systems take 255 octets; the ending, and what a file is called while it is written, need some of them.
_MOST_OCTETS = 220
_MOST_LETTERS = 60


@dataclass(frozen=True, slots=True)
class FixtureMode:
    """One DMX mode: its name, and for each cell its DMX break and the offset of its first slot in it, both from 1."""

    name: str
    cells: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class FixtureKind:
    """What a fixture type says.

    Attributes:
        name, about, display: of the kind, and what it belongs to.
        plain: its name without what GDTF keeps for itself, unlike that of any other kind of the display.
        shape: "Sphere", "Cylinder" or "Cube".
        size_m: length (x), width (y) and height (z) as it hangs, m.
        flux_lm: of each colour at full, all cells together.
        xy: CIE 1931 chromaticity of each colour.
        watts: input power at full white, all cells together.
        cells_m: place of each cell's light from the fixture's origin as it hangs, m; one entry each.
        modes: at least one.
    """

    name: str
    plain: str
    about: str
    display: str
    shape: str
    size_m: tuple[float, float, float]
    flux_lm: tuple[float, ...]
    xy: tuple[tuple[float, float], ...]
    watts: float
    cells_m: tuple[tuple[float, float, float], ...]
    modes: tuple[FixtureMode, ...]

    @property
    def colours(self) -> int:
        """Return how many slots one cell takes."""
        return len(self.flux_lm)

    @property
    def file_name(self) -> str:
        """Return the name of its file: maker, fixture and comment, with the signs between that the form wants."""
        display = plain_name(self.display).replace("/", "-")[:_MOST_LETTERS]
        name = f"{MAKER}@{self.plain.replace('/', '-')}@".encode()[:_MOST_OCTETS]
        return (name + display.encode())[:_MOST_OCTETS].decode(errors="ignore") + ".gdtf"


def gdtf_file(kind: FixtureKind) -> bytes:
    """Return the fixture type as a .gdtf file, the same bytes for the same kind."""
    return packed({"description.xml": xml_bytes(_root(kind))})


def _root(kind: FixtureKind) -> Element:
    root = Element("GDTF", DataVersion="1.2")
    fixture = SubElement(
        root,
        "FixtureType",
        Name=kind.plain,
        ShortName=kind.plain[:20],
        LongName=xml_text(f"{kind.name} ({kind.display})"),
        Manufacturer=MAKER,
        Description=xml_text(kind.about or f"a prop of {kind.display}"),
        FixtureTypeID=named("kind", kind.display, kind.name),
        Thumbnail="",
        CanHaveChildren="No",
    )
    _attributes(fixture, kind)
    SubElement(fixture, "Wheels")
    _physical(fixture, kind)
    _models(fixture, kind)
    _geometries(fixture, kind)
    _modes(fixture, kind)
    for section in ("Revisions", "FTPresets", "Protocols"):
        SubElement(fixture, section)
    return root


def _names(kind: FixtureKind) -> list[tuple[str, str, str]]:
    """Return (attribute, colour, pretty) of each slot of a cell."""
    if kind.colours == 1:
        return [("Dimmer", "White", "Dim")]
    return list(zip(_ADDS, COLOURS, _PRETTY, strict=True))[: kind.colours]


def _attributes(fixture: Element, kind: FixtureKind) -> None:
    made = SubElement(fixture, "AttributeDefinitions")
    groups, features = SubElement(made, "ActivationGroups"), SubElement(made, "FeatureGroups")
    listed = SubElement(made, "Attributes")
    if kind.colours == 1:
        group = SubElement(features, "FeatureGroup", Name="Dimmer", Pretty="Dimmer")
        SubElement(group, "Feature", Name="Dimmer")
    else:
        SubElement(groups, "ActivationGroup", Name="ColorRGB")
        group = SubElement(features, "FeatureGroup", Name="Color", Pretty="Color")
        SubElement(group, "Feature", Name="RGB")
    for attribute, _, pretty in _names(kind):
        if kind.colours == 1:
            SubElement(
                listed,
                "Attribute",
                Name=attribute,
                Pretty=pretty,
                Feature="Dimmer.Dimmer",
                PhysicalUnit="LuminousIntensity",
            )
        else:
            SubElement(
                listed,
                "Attribute",
                Name=attribute,
                Pretty=pretty,
                ActivationGroup="ColorRGB",
                Feature="Color.RGB",
                PhysicalUnit="ColorComponent",
            )


def _physical(fixture: Element, kind: FixtureKind) -> None:
    made = SubElement(fixture, "PhysicalDescriptions")
    emitters = SubElement(made, "Emitters")
    brightest = max(kind.flux_lm, default=1.0) or 1.0
    for (_, colour, _), flux, (x, y) in zip(_names(kind), kind.flux_lm, kind.xy, strict=True):
        light = 100.0 * flux / brightest
        SubElement(emitters, "Emitter", Name=colour, Color=f"{number(x)},{number(y)},{number(light)}")
    for section in ("Filters", "DMXProfiles", "CRIs", "Connectors"):
        SubElement(made, section)
    SubElement(made, "Properties")


def _models(fixture: Element, kind: FixtureKind) -> None:
    models = SubElement(fixture, "Models")
    length, width, height = (number(side) for side in kind.size_m)
    SubElement(
        models, "Model", Name="Shell", Length=length, Width=width, Height=height, PrimitiveType=kind.shape, File=""
    )


def _together(mode: FixtureMode) -> bool:
    """Return whether the cells of a mode follow each other in one DMX break."""
    return all(dmx_break == 1 for dmx_break, _ in mode.cells)


def _geometries(fixture: Element, kind: FixtureKind) -> None:
    """One top geometry for each mode.

    Cells that follow each other are references to one light, each with the offset of its slots. Cells with addresses of
    their own are lights of their own, each with its channels in a DMX break of its own.
    """
    made = SubElement(fixture, "Geometries")
    here = _at((0.0, 0.0, 0.0))
    shared: list[FixtureMode] = []
    for mode in kind.modes:
        top = SubElement(made, "Geometry", Name=f"Body {mode.name}", Model="Shell", Position=here)
        places = kind.cells_m if len(mode.cells) == len(kind.cells_m) else kind.cells_m[:1]
        for index, ((dmx_break, offset), place) in enumerate(zip(mode.cells, places, strict=True), 1):
            if not _together(mode):
                _beam(top, kind, mode, f"Light {index} {mode.name}", _at(place))
                continue
            light = f"Light {mode.name}"
            name = f"Cell {index} {mode.name}"
            cell = SubElement(top, "GeometryReference", Name=name, Geometry=light, Model="Shell", Position=_at(place))
            SubElement(cell, "Break", DMXBreak=str(dmx_break), DMXOffset=str(offset))
        shared += [mode] if _together(mode) else []
    for mode in shared:
        _beam(made, kind, mode, f"Light {mode.name}", here)


def _at(place: tuple[float, float, float]) -> str:
    x, y, z = (number(value) for value in place)
    return (
        "{1.000000,0.000000,0.000000,"
        + x
        + "}{0.000000,1.000000,0.000000,"
        + y
        + "}{0.000000,0.000000,1.000000,"
        + z
        + "}"
        "{0.000000,0.000000,0.000000,1.000000}"
    )


def _beam(parent: Element, kind: FixtureKind, mode: FixtureMode, name: str, position: str) -> None:
    SubElement(
        parent,
        "Beam",
        Name=name,
        Model="Shell",
        Position=position,
        LampType="LED",
        PowerConsumption=number(kind.watts / len(mode.cells)),
        LuminousFlux=number(sum(kind.flux_lm) / len(mode.cells)),
        ColorTemperature="6500.000000",
        BeamAngle="180.000000",
        FieldAngle="180.000000",
        BeamRadius=number(max(kind.size_m) / 2.0),
        BeamType="Glow",
        ColorRenderingIndex="0",
    )


def _modes(fixture: Element, kind: FixtureKind) -> None:
    made = SubElement(fixture, "DMXModes")
    for mode in kind.modes:
        words = f"{len(mode.cells)} cells of {kind.colours} slots"
        one = SubElement(made, "DMXMode", Name=mode.name, Description=words, Geometry=f"Body {mode.name}")
        channels = SubElement(one, "DMXChannels")
        lights = [(1, f"Light {mode.name}")]
        if not _together(mode):
            lights = [(dmx_break, f"Light {k} {mode.name}") for k, (dmx_break, _) in enumerate(mode.cells, 1)]
        for dmx_break, light in lights:
            for offset, (attribute, colour, _) in enumerate(_names(kind), 1):
                _channel(channels, dmx_break, offset, light, attribute, colour, kind.colours > 1)
        SubElement(one, "Relations")
        SubElement(one, "FTMacros")


def _channel(
    channels: Element, dmx_break: int, offset: int, light: str, attribute: str, colour: str, emitter: bool
) -> None:
    channel = SubElement(
        channels,
        "DMXChannel",
        DMXBreak=str(dmx_break),
        Offset=str(offset),
        InitialFunction=f"{light}_{attribute}.{attribute}.{colour}",
        Highlight="255/1",
        Geometry=light,
    )
    logical = SubElement(
        channel,
        "LogicalChannel",
        Attribute=attribute,
        Snap="No",
        Master="None",
        MibFade="0.000000",
        DMXChangeTimeLimit="0.000000",
    )
    function = {
        "Name": colour,
        "Attribute": attribute,
        "OriginalAttribute": "",
        "DMXFrom": "0/1",
        "Default": "0/1",
        "PhysicalFrom": "0.000000",
        "PhysicalTo": "1.000000",
        "RealFade": "0.000000",
    }
    if emitter:
        function["Emitter"] = colour
    SubElement(logical, "ChannelFunction", function)
