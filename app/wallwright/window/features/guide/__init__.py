"""The guide in the program."""
