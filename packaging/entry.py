"""Where the self-contained packages start. Without arguments, as a desktop starts a program, the window opens."""

import multiprocessing
import sys

from wallwright.commands.main import main

if __name__ == "__main__":
    multiprocessing.freeze_support()  # a planner or reader process is this program again
    started_by_desktop = len(sys.argv) == 1 and not (sys.stdin and sys.stdin.isatty())
    sys.exit(main(["window"] if started_by_desktop else None))
