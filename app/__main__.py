"""``python -m app`` does what ``dustcap`` does."""

import sys

from app.cli.entry import main

if __name__ == "__main__":
    sys.exit(main())
