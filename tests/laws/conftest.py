"""What the laws share stands beside them; rule packs are drawn where the voices are put to the question."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1] / "inference" / "voices"))
