"""Text as outlines (SVG 2, section 11): characters, their chunks, lines and paths, painted as shapes."""
