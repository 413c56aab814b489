"""The ``prep`` command, also as ``python -m prep``: whatever an interrupt meets, it ends in one line."""

from __future__ import annotations

import sys

_INTERRUPTED = 130  # 128 + SIGINT, as a shell reports it


def main() -> None:
    """Load the command and run it; the loading takes long enough to be interrupted."""
    try:
        from prep.cli import main as command

        command()
    except KeyboardInterrupt:
        print("prep: interrupted", file=sys.stderr)
        sys.exit(_INTERRUPTED)


if __name__ == "__main__":
    main()
