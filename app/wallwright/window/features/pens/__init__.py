"""The list of pens: order, saved pens, ink, and what is measured of pens."""
