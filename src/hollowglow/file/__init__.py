"""What the person stated: reading a display file into a frozen Display."""

from hollowglow.file.model.display import Display
from hollowglow.file.reading.load import load, load_text

__all__ = ["Display", "load", "load_text"]
