"""What is said of each code, by subject."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from hollowglow.messages.told import Words
from hollowglow.messages.words import data, faults, joining, legacy, light, mains, match

WORDS: Mapping[str, Words] = MappingProxyType(
    {
        code: words
        for subject in (data, faults, joining, light, mains, match, legacy)
        for code, words in subject.WORDS.items()
    }
)
