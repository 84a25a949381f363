"""Fuzzing of everything that reads what a person gives: `packaging/bootstrap.py fuzz --help`."""
