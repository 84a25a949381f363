"""Fonts and their glyphs, by QtGui: which font is meant, and what outlines words have in it."""
