"""What holds for every request: who may ask, how much may come along, and what is said where it fails."""
