"""The time strip: the planned job over time."""
