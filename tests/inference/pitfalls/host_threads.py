"""The library's own Host runs hidden threads that walk freed memory: the driver does without it."""

import sys
import threading

from ringout.inference.durable import DurableMatcher
from ringout.inference.pattern import Pattern, Record, Term

matcher = DurableMatcher([[Pattern("fused", (Term("fuse", "fuse"),))]])
assert matcher.match(0, [Record("main", "fuse", {})]) == [("fused", ("main",))]
assert threading.active_count() == 1
assert not [name for name in sys.modules if name.partition(".")[0] == "durable"]
