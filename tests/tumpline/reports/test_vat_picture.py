"""Vats and whose fruit is in them."""

import re

import msgspec

from records import SUMMARY, VAT, within
from tumpline.pressing.records import Holding
from tumpline.reports.vat_picture import layers_of, vats_picture
from tumpline.wire.book_documents import stock_document, vat_document
from tumpline.wire.documents import summary_document


def test_a_vat_is_layered_by_load_upon_what_was_there_before() -> None:
    """7250 L, of which 2900 are of load L-7: the other 4350 were there before."""
    found = [(layer.words, round(layer.litres)) for layer in layers_of(stock_document(VAT), {})]
    assert found == [("from before, or of no load", 4350), ("L-7 Coppice Farm", 2900)]


def test_a_summary_of_an_older_version_is_layered_by_what_the_shift_brought() -> None:
    """Without whose everything is, what the vat held at the beginning is one layer."""
    old = {**vat_document(VAT), "held_l": None}
    found = [(layer.words, round(layer.litres)) for layer in layers_of(old, {"L-7": "Coppice Farm"})]
    assert found == [("from before, or of no load", 4350), ("L-7 Coppice Farm", 2900)]


def test_the_smallest_shares_are_told_together() -> None:
    """Ten loads are six and the rest; their litres are not lost."""
    shares = tuple(Holding(f"L-{i}", "", within(0.1 * (10 - i), 0.0)) for i in range(10))
    vat = msgspec.structs.replace(VAT, held=within(5.5, 0.0), holds=shares)
    layers = layers_of(stock_document(vat), {})
    assert [layer.words for layer in layers] == [*(f"L-{i}" for i in range(6)), "4 more loads"]
    assert sum(layer.litres for layer in layers) == 5500.0


def test_the_picture_names_vat_contents_and_room() -> None:
    """Unknown capacity is said."""
    drawn = vats_picture(summary_document(SUMMARY), 186.0).text
    said = re.findall(r">([^<>]+)</text>", drawn)
    assert "Vat V1" in said and "L-7 Coppice Farm" in said
    assert "12.1 °Bx, 4.5 g/L acid, 2.0 g/L tannin, bittersweet" in said
    assert any("of 10\u202f000 L" in words for words in said)
    bare = msgspec.structs.replace(SUMMARY, vats=(msgspec.structs.replace(VAT, capacity=None),))
    assert "capacity not given" in vats_picture(summary_document(bare), 186.0).text


def test_a_shift_without_vats_says_so() -> None:
    """Nothing is drawn for vats that nobody named."""
    assert "No vat was named" in vats_picture(summary_document(msgspec.structs.replace(SUMMARY, vats=())), 186.0).text
