"""`python -m tumpline` is the command `tumpline`."""

import sys

from tumpline.cli import main

sys.exit(main())
