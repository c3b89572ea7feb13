"""The keys of a display file, as its models declare them."""

from __future__ import annotations

from collections.abc import Mapping

from hollowglow.file.model.fields import Frozen
from hollowglow.file.model.keys import declared, unit_of
from hollowglow.file.reading.keys import tables


def _told(model: type[Frozen]) -> tuple[str, Mapping[str, tuple[str, str]]]:
    about = " ".join((model.__doc__ or "").split()).removesuffix(".")
    keys = {f.alias or name: (unit_of(f), declared(f).meaning) for name, f in model.model_fields.items()}
    return about, keys


# Table of the file -> (what it is, key -> (unit inside, meaning)). NAME stands for a name that the builder chooses.
FILE_KEYS: Mapping[str, tuple[str, Mapping[str, tuple[str, str]]]] = {path: _told(one) for path, one in tables()}
