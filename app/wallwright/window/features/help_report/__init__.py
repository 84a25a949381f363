"""A report to ask for help with."""
