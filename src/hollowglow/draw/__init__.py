"""Every picture: records in mm, looks by role, SVG and terminal text; one module for each sort of picture."""
