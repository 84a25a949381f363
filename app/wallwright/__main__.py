"""python -m wallwright: the same as the installed command wallwright."""

import sys

from wallwright.commands.main import main

if __name__ == "__main__":
    sys.exit(main())
