"""Controls used in several places, independent of the document."""
