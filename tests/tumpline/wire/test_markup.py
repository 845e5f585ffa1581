"""Escaping is what happens when nobody thinks of it."""

from tumpline.wire.markup import Html, el, join


def test_text_from_outside_is_never_markup() -> None:
    """A name with markup in it is shown as it was typed."""
    assert el("p", "<script>alert(1)</script> & co").text == "<p>&lt;script&gt;alert(1)&lt;/script&gt; &amp; co</p>"


def test_an_attribute_cannot_be_left() -> None:
    """A quote in a value stays inside it."""
    assert el("input", value='" onfocus="x').text == '<input value="&quot; onfocus=&quot;x">'


def test_elements_nest_without_being_escaped_twice() -> None:
    """Markup made here stays markup."""
    assert el("p", el("b", "a"), None, Html("<i>b</i>"), class_="x").text == '<p class="x"><b>a</b><i>b</i></p>'
    assert join("<", el("b", "c")).text == "&lt;<b>c</b>"


def test_attributes_are_spelled_as_in_markup() -> None:
    """Python's spellings become HTML's; what is not set is left out."""
    made = el("label", for_="a", data_key="k", hidden=True, title=None, aria_busy=False, viewBox="0 0 1 1")
    assert made.text == '<label for="a" data-key="k" hidden viewBox="0 0 1 1"></label>'


def test_a_length_has_no_more_digits_than_can_be_seen() -> None:
    """Drawings stay small: two decimals, and none that are nought."""
    assert el("rect", x=1.0, y=2.5, width=1 / 3).text == '<rect x="1" y="2.5" width="0.33"></rect>'
