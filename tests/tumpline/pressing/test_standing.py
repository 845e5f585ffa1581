"""The book as it stands."""

from tumpline.pressing.entries import Correct, Entry, Note, Vat
from tumpline.pressing.events import EntryMade
from tumpline.pressing.standing import standing


def made(name: str, at: float, entry: Entry) -> EntryMade:
    """An entry written when it was so."""
    return EntryMade(name, at, at, "Ada", entry)


def test_an_entry_stands_once_as_it_was_last_put_right() -> None:
    """In the order of the times that the entries are of, corrected ones included; what was not written is left out."""
    entries = [
        made("vat-1", 10.0, Vat("A", 100.0)),
        made("note-1", 20.0, Note("fog")),
        made("vat-1", 10.0, Vat("A", 100.0)),
        made("correct-1", 30.0, Correct("vat-1", {"vat": "B"})),
        made("correct-2", 40.0, Correct("vat-1", {"vat": "C", "at": 25.0})),
        made("correct-3", 50.0, Correct("vat-9", {"vat": "D"})),
    ]
    assert standing(entries) == [entries[1], EntryMade("vat-1", 25.0, 10.0, "Ada", Vat("C", 100.0))]
