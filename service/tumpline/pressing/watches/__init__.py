"""What deserves an alarm, and why.

Each watch says what it looks at, its gate (when it makes sense at all), its limit, its on-delay and deadband, and the
sentence it says. Baselines are learned while the line presses normally and frozen while anything is wrong. A watch
works with the four expected signals; each further one makes its sentence surer, and the sentence says what it rests on.
Limits without a source beside them are common practice, no source.
"""

from tumpline.pressing.watches.verdict import NAMES, NEAR_A_MACHINE, NEAR_A_VAT, QUIET, Verdict

__all__ = ["NAMES", "NEAR_A_MACHINE", "NEAR_A_VAT", "QUIET", "Verdict"]
