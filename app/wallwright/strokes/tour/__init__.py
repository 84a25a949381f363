"""Short tours through reversible strokes: `order_ends` finds one."""
