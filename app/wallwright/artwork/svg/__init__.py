"""Reading SVG: the walk of the tree is ours, path data, transforms and colours are svgelements'."""
