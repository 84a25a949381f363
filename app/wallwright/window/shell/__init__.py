"""The main window: assembles canvas, panels and time strip; menus, command search, help."""
