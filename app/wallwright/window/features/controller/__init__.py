"""The settings of a controller that runs programs, with the lines that result beside them."""
