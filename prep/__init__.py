"""Firstpull: what a screen printer must know and have in hand before the first pull."""

__version__ = "0.1.0"
