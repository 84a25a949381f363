"""Controls used in several places; they know nothing of the document."""
