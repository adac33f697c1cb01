"""How many examples the random tests try: few enough to run while working, more where it counts.

The whole suite stays under ten minutes on two cores; HYPOTHESIS_EXAMPLES asks for more where there is time.
"""

import os

from hypothesis import HealthCheck, settings

settings.register_profile(
    "here", max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
MANY = int(os.environ.get("HYPOTHESIS_EXAMPLES", "300"))
settings.register_profile(
    "ci", max_examples=MANY, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("ci" if os.environ.get("CI") else "here")

PROVEN = 2000 if os.environ.get("CI") else 200
"""Examples of the properties that an estimate stands on: @settings(max_examples=profiles.PROVEN)."""
