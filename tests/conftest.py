"""How property tests run: no limit of time on busy machines, in CI the same examples every time."""

import os

from hypothesis import HealthCheck, settings

SLOW = (HealthCheck.too_slow,)
settings.register_profile("local", deadline=None, suppress_health_check=SLOW)
settings.register_profile(
    "ci", deadline=None, suppress_health_check=SLOW, derandomize=True, print_blob=True
)
settings.load_profile("ci" if os.environ.get("CI") else "local")
