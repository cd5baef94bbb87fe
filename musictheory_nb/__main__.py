"""``python -m musictheory_nb``: the command line, with the current folder taken off the import path."""

import os
import sys

# With -m, Python looks for modules in the current folder first. Started among what students handed in, it would import
# a file of theirs. (The command musictheory-nb and `python -P -m` never look there.)
if not sys.flags.safe_path and sys.path and os.path.realpath(sys.path[0] or os.curdir) == os.path.realpath(os.curdir):
    del sys.path[0]

from musictheory_nb.cli import main

if __name__ == "__main__":
    main()
