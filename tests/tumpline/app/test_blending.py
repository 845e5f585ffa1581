"""Blends from the store."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from stored_shifts import stored
from tumpline.app.blending import blended
from tumpline.app.errors import CommandError, Status

OCTOBER = datetime(2026, 10, 14, 6, tzinfo=UTC)


def test_a_vat_by_itself_is_what_it_is(tmp_path: Path) -> None:
    """So many litres of it, with its figures from the newest summary."""
    document = blended(stored(tmp_path / "works.db", new=OCTOBER), ["V1=1200"], None)
    assert (document["blend"]["juice_l"], document["blend"]["acidity_g_per_l"]) == (1200.0, 4.5)
    assert document["blend"]["class"] == "bittersharp"


@pytest.mark.parametrize(
    ("parts", "reach", "words", "status"),
    [
        (["V1"], None, '"V1" cannot be used; a vat and its litres, such as V1=1200, is accepted', Status.BAD_SETTINGS),
        (["V1=much"], None, '"V1=much" cannot be used', Status.BAD_SETTINGS),
        (["V1=0"], None, '"V1=0" cannot be used', Status.BAD_SETTINGS),
        (["V1=1"], "ph=3.5", 'no reaching "ph"; acidity_g_per_l or tannin_g_per_l is accepted', Status.BAD_SETTINGS),
        (["V9=1"], None, 'works.db: There is no vat "V9"', Status.BAD_DATA),
    ],
)
def test_what_cannot_be_used_is_refused_in_a_sentence(
    tmp_path: Path, parts: list[str], reach: str | None, words: str, status: Status
) -> None:
    """What was typed, and what is accepted."""
    with pytest.raises(CommandError) as error:
        blended(stored(tmp_path / "works.db", new=OCTOBER), parts, reach)
    assert words in str(error.value)
    assert error.value.status is status
