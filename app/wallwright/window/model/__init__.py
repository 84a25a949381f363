"""What the widgets show and change: document with history, selection, planning. No widgets."""
