"""Lining up a hanging by its register marks."""
