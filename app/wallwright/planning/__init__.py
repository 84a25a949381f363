"""Planning: runs the steps in order, in another process: stages, caching, progress, cancel."""

import os

# Qt orders the fonts of a PDF by its hash tables, which it seeds at random in each process unless set otherwise before it
# is loaded: the same job must give the same hanging sheet.
os.environ.setdefault("QT_HASH_SEED", "0")
