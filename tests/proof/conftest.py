"""The checker's own modules stand beside its tests; they import nothing of the program."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
