"""A ZIP file of given members with the same bytes for the same members, and names that such a file may hold."""

from __future__ import annotations

import io
import re
import uuid
import zipfile
from collections.abc import Mapping
from xml.etree import ElementTree

_EPOCH = (1980, 1, 1, 0, 0, 0)
_SPACE = uuid.UUID("6b1f6a4e-6f63-5c8e-9d1c-9f6b1d0f2a77")
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def packed(members: Mapping[str, bytes]) -> bytes:
    """Return a ZIP file, its members stored with no time of their own."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            info = zipfile.ZipInfo(name, _EPOCH)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.external_attr = 0o644 << 16
            info.create_system = 3
            archive.writestr(info, data)
    return stream.getvalue()


def xml_bytes(root: ElementTree.Element) -> bytes:
    """Return an XML document in UTF-8, indented."""
    ElementTree.indent(root, " ")
    text: bytes = ElementTree.tostring(root, encoding="UTF-8", xml_declaration=True)
    return text


def named(*words: str) -> str:
    """Return the identifier that belongs to some words, the same each time (RFC 9562, version 5)."""
    return str(uuid.uuid5(_SPACE, "\x1f".join(words))).upper()


def plain_name(text: str) -> str:
    """Return a name without what GDTF keeps for itself (dots, brackets, signs), at least one character."""
    kept = re.sub(r"[^\w \-#/+]", "-", _NOT_XML.sub("-", text)).strip()
    return kept or "-"


def xml_text(text: str) -> str:
    """Return a text with nothing that XML 1.0 cannot hold."""
    return _NOT_XML.sub("\ufffd", text)


def number(value: float) -> str:
    """Return a number without exponent, to six decimals."""
    text = f"{value:.6f}"
    return "0.000000" if text == "-0.000000" else text
