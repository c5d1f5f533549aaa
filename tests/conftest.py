"""Settings that hold for all tests."""

import os

from hypothesis import HealthCheck, settings

# No test asserts a time, and a busy machine is no fault of the code. CI searches the same inputs each run, so that a
# red run can be repeated; by hand each run looks at new ones.
settings.register_profile("by hand", deadline=None, suppress_health_check=[HealthCheck.too_slow], print_blob=True)
settings.register_profile("ci", settings.get_profile("by hand"), derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "by hand")

pytest_plugins = ["registers"]
