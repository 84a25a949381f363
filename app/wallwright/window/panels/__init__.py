"""Panels beside the canvas: contents, properties of the selection, checks, colours."""
