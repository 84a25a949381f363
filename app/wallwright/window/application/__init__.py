"""Starting and ending: processes, windows, language, opening and saving."""
