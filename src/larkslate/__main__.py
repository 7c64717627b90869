"""``python -m larkslate``: the command line."""

import sys

from larkslate.cli import main

sys.exit(main())
