"""Copying and pasting artwork, within the program and with others."""
