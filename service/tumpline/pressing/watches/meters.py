"""Signals that are not heard any more, and signals that are heard but tell nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tumpline.pressing.watches.verdict import QUIET, Verdict

_LOST = "{listed} {verb} not been heard: sensor, cable or network."


def lost(unheard: Sequence[str], doubted: Mapping[str, str]) -> Verdict:
    """
    `signal-lost`: signals that were heard and are not any more, and those whose readings tell nothing, each with the
    sentence that says why.
    """
    if not unheard and not doubted:
        return QUIET
    sentences = [sentence for name, sentence in doubted.items() if name not in unheard]
    if unheard:
        listed, verb = ", ".join(unheard), "has" if len(unheard) == 1 else "have"
        sentences.insert(0, _LOST.format(listed=listed, verb=verb))
    subjects = (*unheard, *(name for name in doubted if name not in unheard))
    return Verdict(True, float(len(subjects)), 0.0, "signals", " ".join(sentences), subjects)
