"""Models of a window: document with history and file, selection, planning, settings. No widgets."""
