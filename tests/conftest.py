"""Settings that all tests share."""

import os

from hypothesis import settings

# No deadline: a busy machine is not a defect. On an automatic run the examples are the same each time, so that it fails only
# for what was changed; a run by hand looks for new ones.
settings.register_profile("house", deadline=None, derandomize="CI" in os.environ)
settings.load_profile("house")
