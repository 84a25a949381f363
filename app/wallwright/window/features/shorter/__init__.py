"""A shorter job: ways to it, and about how much each saves."""
