"""How long steps of the work usually take, in seconds, where a shop hasn't taken its own times.

Whoever reckons hours begins from these, so that hours of one job agree wherever they are told. Guesses, but
for what is marked otherwise.
"""

from __future__ import annotations

FILM_S = 1380.0
"""One film cut, weeded and laid, where nobody reckons it from its outlines."""
MIX_S = 600.0
"""One ink weighed and stirred."""
LINE_UP_S = 900.0
"""One screen lined up at the press."""
PRINT_S = 20.0
"""One pass of one screen; common practice, no source."""
LAY_S = 60.0
"""A shirt taken off and the next one laid; common practice, no source."""
DRY_S = 45.0
"""One shirt dried to the touch and cooled; common practice, no source."""
WASH_S = 600.0
"""A screen washed where it hangs, for its other ink."""
CLEAN_S = 720.0
"""One screen scraped out and washed at the end."""
