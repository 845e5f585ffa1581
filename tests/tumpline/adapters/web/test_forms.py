"""The forms fit the entries they write."""

from tumpline.adapters.web.forms import FORMS, form_for
from tumpline.pressing.entries import KINDS

NOT_IN_ENTRIES = {"at", "gross_kg", "tare_kg"}


def test_every_field_is_one_of_its_entry() -> None:
    """A form asks for nothing that cannot be written down, and for all that is needed."""
    for form in FORMS.values():
        keys = {field.key for field in form.fields}
        assert keys - NOT_IN_ENTRIES <= set(KINDS[form.kind].__struct_fields__), form.name


def test_what_can_be_put_right_has_a_form() -> None:
    """A weigh ticket is put right as a weigh ticket; a note as a note; what passes by is written anew."""
    assert form_for("trailer", weighed=True) is FORMS["weigh-ticket"]
    assert form_for("trailer") is FORMS["trailer"]
    assert form_for("note") is FORMS["note"]
    assert form_for("shelve") is form_for("acknowledge") is None
