"""Entry point of the self-contained packages. Without arguments, as when started from a desktop, it opens the window."""

import multiprocessing
import sys

from wallwright.commands.main import main

if __name__ == "__main__":
    multiprocessing.freeze_support()  # planner and reader processes run this program again
    started_by_desktop = len(sys.argv) == 1 and not (sys.stdin and sys.stdin.isatty())
    sys.exit(main(["window"] if started_by_desktop else None))
