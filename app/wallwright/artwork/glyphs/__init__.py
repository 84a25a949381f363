"""Fonts and their glyphs, by HarfBuzz: which font is meant, and what outlines words have in it. Knows no Qt."""
