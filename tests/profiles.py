"""How many examples the random tests try: few enough to run while working, many where it counts."""

import os

from hypothesis import HealthCheck, settings

settings.register_profile(
    "here", max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile(
    "ci", max_examples=2000, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("ci" if os.environ.get("CI") else "here")
