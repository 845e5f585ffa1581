"""Building markup so that escaping is what happens when nobody thinks of it."""

import html

import msgspec

VOID = frozenset(["input", "link", "meta"])


class Html(msgspec.Struct, frozen=True):
    """Text that is markup already; everything else is escaped on its way in."""

    text: str


Child = Html | str | None


def el(tag: str, /, *children: Child, **attributes: str | float | bool | None) -> Html:
    """
    One element.

    Children that are plain text are escaped, None is left out. Attributes: `class_` and `for_` lose their underscore,
    other underscores become hyphens; True stands alone, None and False are left out. A number that is no whole one is
    written with two decimals at most.
    """
    opening = tag + "".join(_attribute(key, value) for key, value in attributes.items())
    if tag in VOID:
        return Html(f"<{opening}>")
    return Html(f"<{opening}>{join(*children).text}</{tag}>")


def join(*children: Child) -> Html:
    """Children one after the other."""
    return Html("".join(_child(child) for child in children))


def _child(child: Child) -> str:
    match child:
        case None:
            return ""
        case Html(text=text):
            return text
        case str():
            return html.escape(child)


def _attribute(key: str, value: str | float | bool | None) -> str:
    name = key.rstrip("_").replace("_", "-")
    if value is None or value is False:
        return ""
    if isinstance(value, float):
        value = short(value)
    return f" {name}" if value is True else f' {name}="{html.escape(str(value))}"'


def short(value: float) -> str:
    """A length in a drawing: two decimals at most, none that say nothing."""
    return f"{value:.2f}".rstrip("0").rstrip(".")
