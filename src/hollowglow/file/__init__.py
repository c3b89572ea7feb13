"""What the person stated: reading a display file into a frozen Display."""

from strandwright.display.load import load, load_text
from strandwright.display.model import Display

__all__ = ["Display", "load", "load_text"]
