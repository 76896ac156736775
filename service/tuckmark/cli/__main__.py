"""``python -m tuckmark.cli`` is the command."""

import sys

from tuckmark.cli import main

sys.exit(main())
