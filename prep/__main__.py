"""``python -m prep`` is the ``prep`` command."""

from prep.cli import main

main()
