"""RS-274/NGC programs replayed into what a machine does."""
