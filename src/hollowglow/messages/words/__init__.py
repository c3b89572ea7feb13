"""What is said of each code, by subject."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from hollowglow.messages.told import Words
from hollowglow.messages.words import data, faults, joining, light, mains, making, match, power, protection, site

_SUBJECTS = (data, faults, joining, light, mains, making, match, power, protection, site)
WORDS: Mapping[str, Words] = MappingProxyType({code: words for one in _SUBJECTS for code, words in one.WORDS.items()})
