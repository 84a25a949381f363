"""The photo of the real wall: bringing it and straightening it."""
