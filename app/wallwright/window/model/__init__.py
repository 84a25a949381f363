"""What the widgets show and change: document with history and file, selection, planning, settings. No widgets."""
