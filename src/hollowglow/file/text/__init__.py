"""The text of a display file: where everything stands in it, and edits that touch only what they are about."""
