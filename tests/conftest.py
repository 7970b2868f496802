"""Settings of the whole suite."""

from hypothesis import HealthCheck, settings

# No test asserts a time: a busy machine is no failure.
settings.register_profile("listen", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("listen")
