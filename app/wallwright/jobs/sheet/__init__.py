"""The hanging sheet: the page the person takes to the wall."""
