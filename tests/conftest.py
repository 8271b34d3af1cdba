"""What holds for every test."""

from __future__ import annotations

import os

from hypothesis import settings

# The suite tries the same examples every time, so that a red run is a change's doing; the long
# forms, and whoever sets HYPOTHESIS_PROFILE=wander, try new ones.
settings.register_profile("steady", derandomize=True, deadline=None, print_blob=True)
settings.register_profile("wander", deadline=None, print_blob=True)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "steady"))
