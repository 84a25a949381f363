"""Data files of Wallwright: the demo's artwork, catalogues of translations and schemas of exported files.

Installed as the package wallwright.resources and read through wallwright.document.resources.
"""
