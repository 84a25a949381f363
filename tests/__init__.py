"""Tests. A package, so that a library which installs a package of this name cannot stand in front of it."""
