"""Settings shared by all tests."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("repeatable", derandomize=True, deadline=None, print_blob=False)
settings.load_profile("repeatable")
