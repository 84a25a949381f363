"""The main window with canvas, panels and time strip; menus, command search, help."""
