"""What it costs in parts and minutes, and what to keep in reserve."""
