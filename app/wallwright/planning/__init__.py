"""Planning: runs the planning stages in order, in another process, with caching, progress and cancel."""

import os

# Qt orders the fonts of a PDF by its hash tables, which it seeds randomly in each process unless a seed is set before it is
# loaded. The same job must give the same hanging sheet.
os.environ.setdefault("QT_HASH_SEED", "0")
