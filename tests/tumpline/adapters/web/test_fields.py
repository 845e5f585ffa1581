"""How a form's fields are drawn."""

import re

from fake_line import live
from page_book import morning
from page_style import style
from tumpline.adapters.web.fields import Filled, draw
from tumpline.adapters.web.forms import FORMS
from tumpline.adapters.web.words import texts
from tumpline.runtime.board import Board


def drawn(form: str, *, written: bool = True, wrong: dict[str, str] | None = None, **kept: str) -> str:
    """A form with these texts in it."""
    board = Board(["line-1"])
    board.show("line-1", live())
    if written:
        morning(board)
    found = style()
    filled = Filled(FORMS[form], {key: [text] for key, text in kept.items()}, wrong or {}, found.clock.zone)
    return draw(filled, board.line("line-1"), found, action="/there").text


def test_every_field_has_a_label_of_its_own() -> None:
    """Whoever cannot see hears what is asked for, and every id is there once."""
    for name in FORMS:
        text = drawn(name)
        ids = re.findall(r' id="([^"]*)"', text)
        assert len(ids) == len(set(ids)), name
        for found in re.findall(r"<(?:input|textarea)(?![^>]*type=\"(?:hidden|radio)\")[^>]*>", text):
            id_ = re.search(r' id="([^"]*)"', found)
            assert "aria-label=" in found or (id_ and f'for="{id_[1]}"' in text), found


def test_a_choice_is_offered_where_there_is_one_and_typed_where_there_is_none() -> None:
    """The first vat of a season is typed; later ones are touched, or another is typed."""
    assert 'type="radio" name="vat" value="3"' in drawn("vat")
    assert 'name="vat-other"' in drawn("vat")
    assert '<input type="text" id="f-load" name="load"' in drawn("load-on", written=False)


def test_what_was_chosen_stays_chosen() -> None:
    """A vat that is not in the list stands in the line for another."""
    assert 'value="1" checked' in drawn("vat", vat="1")
    assert 'name="vat-other" value="Old oak"' in drawn("vat", vat="Old oak")


def test_the_hour_that_comes_twice_gets_a_choice() -> None:
    """Both readings, with their zones, and the one chosen."""
    text = drawn("note", text="x", at="2026-10-25T01:30", at_fold="1")
    assert "01:30 BST" in text and "01:30 GMT" in text
    assert 'name="at_fold" value="1" checked' in text
    assert "at_fold" not in drawn("note", text="x", at="2026-10-25T03:30")


def test_what_is_wrong_leads_to_its_field() -> None:
    """Listed on top for those who start there, and beside the field."""
    text = drawn("dip", wrong={"volume_l": "It is no number.", "form": "The book is closed."})
    assert text.index('href="#f-volume_l"') < text.index('id="f-volume_l-wrong"')
    assert "The book is closed." in text


def test_every_field_and_form_is_named_in_the_language_file() -> None:
    """Nothing is called by its key."""
    known = texts("en")
    for form in FORMS.values():
        assert f"form.{form.name}" in known and f"form.{form.name}-text" in known
        assert all(f"field.{field.key}" in known for field in form.fields)
