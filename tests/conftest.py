"""Settings of the whole suite."""

import os
import tempfile

from hypothesis import HealthCheck, settings

# What was heard is kept between commands; tests keep it apart from a player's own, and from the run before.
os.environ["LISTEN_CACHE"] = tempfile.mkdtemp(prefix="listen-heard-")

# No test asserts a time: a busy machine is no failure.
settings.register_profile("listen", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("listen")
