"""Lists of names; see :mod:`prep.phrases`."""

from prep.phrases import several

__all__ = ["several"]
