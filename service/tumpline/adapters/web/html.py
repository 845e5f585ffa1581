"""Building markup so that escaping is what happens when nobody thinks of it."""

import html

import msgspec

VOID = frozenset(["input", "link", "meta"])


class Html(msgspec.Struct, frozen=True):
    """Text that is markup already; everything else is escaped on its way in."""

    text: str


Child = Html | str | None


def el(tag: str, /, *children: Child, **attributes: str | int | bool | None) -> Html:
    """
    One element.

    Children that are plain text are escaped, None is left out. Attributes: `class_` and `for_` lose their underscore,
    other underscores become hyphens; True stands alone, None and False are left out.
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


def _attribute(key: str, value: str | int | bool | None) -> str:
    name = key.rstrip("_").replace("_", "-")
    if value is None or value is False:
        return ""
    return f" {name}" if value is True else f' {name}="{html.escape(str(value))}"'
