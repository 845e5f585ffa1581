"""What documents say about how sure the figures are: the budget of a yield, the residence time, sampled dry matter."""

from __future__ import annotations

import math
from collections.abc import Iterable

from tumpline.pressing.extraction import budget
from tumpline.pressing.learnt import AnchorRecord, Residence
from tumpline.pressing.records import Known, Unknown
from tumpline.wire.figures import LITRES_PER_TONNE, PERCENT, Document, figure, percentage, rounded


def budget_document(figure_: Known) -> list[Document]:
    """Every source of doubt about a yield, the largest first: its size in L/t, its share of the whole variance."""
    if isinstance(figure_, Unknown):
        return []
    return [
        {
            "source": line.source,
            "u_l_per_t": rounded(line.u * LITRES_PER_TONNE),
            "share_pct": rounded(line.share * PERCENT),
            "common": line.common,
        }
        for line in budget(figure_)
    ]


def own_u(figure_: Known) -> float | None:
    """Standard uncertainty of a load's yield in L/t without what all loads share: what counts in a comparison."""
    if isinstance(figure_, Unknown):
        return None
    return rounded(math.sqrt(sum(line.u**2 for line in budget(figure_) if not line.common)) * LITRES_PER_TONNE)


def residence_document(residence: Residence | None) -> Document | None:
    """Time from mill to juice meter at the shift's feed."""
    if residence is None:
        return None
    return {
        **figure("mean_s", residence.mean),
        **figure("spread_s", residence.spread),
        "learned": residence.learned,
        "why": residence.why,
    }


def anchor_documents(anchors: Iterable[AnchorRecord]) -> list[Document]:
    """Varieties whose dry matter was sampled, before and after."""
    return [
        {
            "variety": anchor.variety,
            **percentage("before_pct", anchor.before),
            **percentage("after_pct", anchor.after),
            "samples": anchor.samples,
        }
        for anchor in anchors
    ]
