"""One way of running property tests everywhere: no deadlines, and the same examples on every run of the gate."""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

settings.register_profile("default", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("ci", parent=settings.get_profile("default"), derandomize=True, print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") else "default")
