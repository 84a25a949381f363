"""Application start and exit, windows, language, files."""
