"""Vats and whose fruit is in them."""

import re

import msgspec

from records import SUMMARY, VAT, within
from tumpline.pressing.records import Share
from tumpline.reports.vat_picture import layers_of, vats_picture
from tumpline.wire.book_documents import vat_document
from tumpline.wire.documents import summary_document


def test_a_vat_is_layered_by_load_upon_what_was_there_before() -> None:
    """7250 L of which 3000 are of this shift leave 4250 from before."""
    layers = layers_of(vat_document(VAT), {"L-7": "Coppice Farm"})
    assert [(layer.words, round(layer.litres)) for layer in layers] == [
        ("from before", 4250),
        ("L-7 Coppice Farm", 2900),
    ]


def test_the_smallest_shares_are_told_together() -> None:
    """Ten loads are six and the rest; their litres are not lost."""
    shares = tuple(Share(f"L-{i}", within(0.1 * (10 - i), 0.0)) for i in range(10))
    vat = msgspec.structs.replace(VAT, juice=within(5.5, 0.0), shares=shares, contents=None)
    layers = layers_of(vat_document(vat), {})
    assert [layer.words for layer in layers] == [*(f"L-{i}" for i in range(6)), "4 more loads"]
    assert sum(layer.litres for layer in layers) == 5500.0


def test_the_picture_names_vat_contents_and_room() -> None:
    """Unknown capacity is said."""
    drawn = vats_picture(summary_document(SUMMARY), 186.0).text
    said = re.findall(r">([^<>]+)</text>", drawn)
    assert "Vat V1" in said and "L-7 Coppice Farm" in said
    assert any("of 10\u202f000 L" in words for words in said)
    bare = msgspec.structs.replace(SUMMARY, vats=(msgspec.structs.replace(VAT, capacity=None),))
    assert "capacity not given" in vats_picture(summary_document(bare), 186.0).text


def test_a_shift_without_vats_says_so() -> None:
    """Nothing is drawn for vats that nobody named."""
    assert "No vat was named" in vats_picture(summary_document(msgspec.structs.replace(SUMMARY, vats=())), 186.0).text
