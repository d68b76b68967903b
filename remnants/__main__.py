"""`python -m remnants VERB ...`, where no command of that name is on the path."""

import sys

from remnants.cli import main

sys.exit(main())
