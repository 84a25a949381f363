"""Shapes of artwork made in the program."""
