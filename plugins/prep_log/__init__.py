"""What the shop has measured and what it has printed: its log, and what every next job learns from it."""

from __future__ import annotations
