"""Where to put the anchors: the trade-off as a picture, and the choice."""
