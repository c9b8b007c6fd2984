"""``python -m kitprep`` is ``kitprep``."""

import sys

from kitprep.cli import main

sys.exit(main())
