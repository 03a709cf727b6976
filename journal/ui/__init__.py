"""The terminal screens."""
