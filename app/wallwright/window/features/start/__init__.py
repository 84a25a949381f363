"""The page that the window shows before there is a project."""
