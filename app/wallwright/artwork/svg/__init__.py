"""Reading SVG: the tree, its styles and its elements become shapes in mm.

Every element has a handler in the table of `walk.py`. It gets the element, an immutable ReadingContext (what holds where it
stands) and a ShapeSink (where to put shapes and findings), and reads what is inside it through the context.
"""
