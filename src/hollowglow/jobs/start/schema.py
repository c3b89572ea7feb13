"""The JSON Schema of the display file."""

from __future__ import annotations

from typing import Any

from hollowglow.file.model.display import Display
from hollowglow.file.reading.inheritance import SECTIONS

_MODELS = {
    "supplies": "Supply",
    "controllers": "Controller",
    "parts": "Part",
    "kinds": "Kind",
    "strings": "String",
}


def display_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a display file, with `extends` where it may stand.

    Keys that an entry may inherit through `extends` or from a catalogue part are not marked as required.
    """
    schema = Display.model_json_schema(by_alias=True)
    schema = {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
    definitions = schema["$defs"]
    for section in SECTIONS:
        model = definitions[_MODELS[section]]
        model["properties"]["extends"] = {
            "type": "string",
            "description": f"name of another entry of {section} whose keys count where this one states none",
        }
        required = model.pop("required", None)
        if required:
            model["anyOf"] = [{"required": ["extends"]}, {"required": required}]
    return schema
