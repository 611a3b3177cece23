"""What several of these tests are made of stands beside them."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
