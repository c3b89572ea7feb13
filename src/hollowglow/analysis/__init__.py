"""The analyses: an assembly in, frozen results out, findings beside them."""
