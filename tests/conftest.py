"""Settings that all tests share."""

import os

from hypothesis import settings

# The continuous integration asks the same questions every time; at home new ones are asked.
settings.register_profile("same every time", derandomize=True)
if os.environ.get("CI"):
    settings.load_profile("same every time")
