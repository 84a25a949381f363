"""Starting and ending: processes, windows, language, settings, opening and saving, recovery."""
