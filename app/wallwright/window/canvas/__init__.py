"""The wall to scale: layers that paint it, and what the pointer does there."""
