"""Files on disk: read once, written whole, with what they said before."""
