"""True size on screen: measuring the screen."""
