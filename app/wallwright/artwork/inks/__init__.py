"""Pens as inks: the colour that coverages give from afar, and the coverages that give a colour."""
