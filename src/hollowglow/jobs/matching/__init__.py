"""Kinds made alike: by the model, by photographs, by a meter."""
