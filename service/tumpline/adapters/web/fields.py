"""Draws the shift book's forms: every field with its label, its unit, what helps, and what was wrong beside it."""

from collections.abc import Mapping, Sequence
from zoneinfo import ZoneInfo

from msgspec import Struct

from tumpline.adapters.web.choices import Choice, choices
from tumpline.adapters.web.forms import Field, Form, Sort
from tumpline.adapters.web.typed import LONGEST, LONGEST_TEXT, Kept, one, twice
from tumpline.adapters.web.words import Style
from tumpline.runtime.board import LineBoard
from tumpline.wire.markup import Child, Html, el, join

UNITS = {
    "gross_kg": "kg",
    "tare_kg": "kg",
    "net_kg": "kg",
    "capacity_kg": "kg",
    "capacity_l": "L",
    "contents_l": "L",
    "volume_l": "L",
    "dry_matter_pct": "%",
    "brix": "°Bx",
    "acidity_g_per_l": "g/L",
    "tannin_g_per_l": "g/L",
    "mass_kg": "kg",
    "limits_pct": "%",
}
VARIETY_ROWS = 4
MOST_ROWS = 12


class Filled(Struct, frozen=True):
    """A form as it is shown: what stands in it, and what is wrong with that."""

    form: Form
    kept: Kept
    wrong: Mapping[str, str] = {}
    zone: ZoneInfo | None = None


def draw(filled: Filled, board: LineBoard, style: Style, *, action: str) -> Html:
    """The whole form, with what is wrong listed on top, each leading to its field."""
    words = style.words
    first = next((field.key for field in filled.form.fields if field.key in filled.wrong), None)
    fields = [_field(field, filled, board, style, focus=field.key == first) for field in filled.form.fields]
    return join(
        _summary(filled, style),
        el(
            "form",
            *fields,
            el("p", el("button", words("entry.write"), class_="main"), class_="buttons"),
            method="post",
            action=action,
            class_="entry",
            novalidate=True,
        ),
    )


def label(key: str, style: Style) -> str:
    """What a field is called."""
    return style.words(f"field.{key}")


def _summary(filled: Filled, style: Style) -> Html | None:
    if not filled.wrong:
        return None
    keys = {field.key for field in filled.form.fields}
    items = [
        el("li", el("a", label(key, style), href=f"#f-{key}"), f": {text}") if key in keys else el("li", text)
        for key, text in filled.wrong.items()
    ]
    title = el("h2", style.words("wrong.title"))
    focus = not keys & filled.wrong.keys()
    return el("div", title, el("ul", *items), role="alert", class_="trouble", tabindex=-1, autofocus=focus)


def _field(field: Field, filled: Filled, board: LineBoard, style: Style, *, focus: bool) -> Html:
    if field.sort is Sort.HIDDEN:
        return el("input", type="hidden", name=field.key, value=one(filled.kept, field.key))
    offered = choices(field.known, board, style) if field.known else ()
    if offered and field.sort in (Sort.CHOICE, Sort.PICK):
        return _radios(field, offered, filled, style, focus=focus)
    if field.sort is Sort.VARIETIES:
        return _varieties(field, offered, filled, style, focus=focus)
    if field.sort is Sort.CHOICE and not offered:
        return _plain(field, filled, style, (), focus=focus, hint=style.words("choice.none-known"))
    hint = style.words("entry.names-hint") if field.sort is Sort.NAMES else ""
    return _plain(field, filled, style, offered, focus=focus, hint=hint)


def _head(field: Field, style: Style) -> tuple[Child, ...]:
    unit = UNITS.get(field.key)
    optional = None if field.required or field.key == "net_kg" else style.words("entry.if-known")
    if field.key == "at":
        optional = style.words("entry.now-if-empty")
    return (
        label(field.key, style),
        el("span", f" {unit}", class_="unit") if unit else None,
        el("span", f" ({optional})", class_="optional") if optional else None,
    )


def _wrong(field: Field, filled: Filled) -> Html | None:
    text = filled.wrong.get(field.key)
    return el("p", text, id=f"f-{field.key}-wrong", class_="wrong") if text else None


def _plain(
    field: Field,
    filled: Filled,
    style: Style,
    offered: Sequence[Choice],
    *,
    focus: bool,
    hint: str = "",
) -> Html:
    """A label and one thing to type into."""
    key, wrong = field.key, _wrong(field, filled)
    described = [f"f-{key}-hint"] if hint else []
    described += [f"f-{key}-wrong"] if wrong else []
    attributes: dict[str, str | int | bool | None] = {
        "id": f"f-{key}",
        "name": key,
        "required": field.required,
        "aria_invalid": "true" if wrong else None,
        "aria_describedby": " ".join(described) or None,
        "autofocus": focus,
        "maxlength": LONGEST.get(field.sort, LONGEST_TEXT),
        "autocomplete": "off",
    }
    text = one(filled.kept, key, LONGEST.get(field.sort, LONGEST_TEXT))
    names = None
    if field.sort is Sort.LONG:
        entry = el("textarea", text, rows=3, **attributes)
    else:
        if offered:
            attributes["list"] = f"f-{key}-known"
            names = el("datalist", *(el("option", value=c.value, label=c.words) for c in offered), id=f"f-{key}-known")
        if field.sort is Sort.NUMBER:
            attributes["inputmode"] = "decimal"
        kind = "datetime-local" if field.sort is Sort.TIME else "text"
        entry = el("input", type=kind, value=text or None, **attributes)
    return el(
        "div",
        el("label", *_head(field, style), for_=f"f-{key}"),
        el("p", hint, id=f"f-{key}-hint", class_="note") if hint else None,
        wrong,
        entry,
        names,
        _which(field, filled, text, style),
        class_="field bad" if wrong else "field",
    )


def _which(field: Field, filled: Filled, text: str, style: Style) -> Html | None:
    """Which of the two hours, where the clock was put back in between."""
    names = twice(text, filled.zone) if field.sort is Sort.TIME and filled.zone and text else ()
    if not names:
        return None
    chosen = one(filled.kept, f"{field.key}_fold")
    radios = [
        _radio(f"{field.key}_fold", str(number), name, "", checked=chosen == str(number))
        for number, name in enumerate(names)
    ]
    return el("fieldset", el("legend", style.words("entry.which-hour")), *radios)


def _radios(field: Field, offered: Sequence[Choice], filled: Filled, style: Style, *, focus: bool) -> Html:
    """Everything there is to choose from, and a line for something else where that may be."""
    chosen, wrong = one(filled.kept, field.key), _wrong(field, filled)
    known = {choice.value for choice in offered}
    radios = [_radio(field.key, c.value, c.words, c.note, checked=c.value == chosen) for c in offered]
    other = None
    if field.sort is Sort.PICK:
        key = f"{field.key}-other"
        text = one(filled.kept, key) or ("" if chosen in known else chosen)
        other = join(
            el("label", style.words("entry.other"), for_=f"f-{key}"),
            el("input", id=f"f-{key}", name=key, value=text or None, maxlength=LONGEST_TEXT, autocomplete="off"),
        )
    return el(
        "fieldset",
        el("legend", *_head(field, style)),
        wrong,
        el("div", *radios, class_="choices"),
        other,
        id=f"f-{field.key}",
        class_="field bad" if wrong else "field",
        aria_describedby=f"f-{field.key}-wrong" if wrong else None,
        tabindex=-1,
        autofocus=focus,
    )


def _radio(name: str, value: str, words: str, note: str, *, checked: bool) -> Html:
    return el(
        "label",
        el("input", type="radio", name=name, value=value, checked=checked),
        el("span", words, class_="what"),
        el("span", f" {note}", class_="note") if note else None,
        class_="choice",
    )


def _varieties(field: Field, offered: Sequence[Choice], filled: Filled, style: Style, *, focus: bool) -> Html:
    """Rows of a name and its share."""
    words, wrong = style.words, _wrong(field, filled)
    names, shares = filled.kept.get("variety", ()), filled.kept.get("share", ())
    count = min(MOST_ROWS, max(VARIETY_ROWS, len(names) + ("more" in filled.kept)))
    rows = [
        el(
            "div",
            el(
                "input",
                id=f"f-{field.key}-name" if row == 0 else None,
                name="variety",
                value=names[row] if row < len(names) else None,
                maxlength=LONGEST_TEXT,
                autocomplete="off",
                autofocus=row == len(names) and "more" in filled.kept,
                list="f-varieties-known" if offered else None,
                aria_label=words("entry.variety", number=row + 1),
            ),
            el(
                "input",
                name="share",
                value=shares[row] if row < len(shares) else None,
                maxlength=LONGEST_TEXT,
                inputmode="decimal",
                autocomplete="off",
                aria_label=words("entry.share", number=row + 1),
            ),
            el("span", "%", class_="unit", aria_hidden="true"),
            class_="variety",
        )
        for row in range(count)
    ]
    known = el("datalist", *(el("option", value=c.value) for c in offered), id="f-varieties-known") if offered else None
    more = el("button", words("entry.more-rows"), name="more", value="1", class_="quiet") if count < MOST_ROWS else None
    return el(
        "fieldset",
        el("legend", *_head(field, style)),
        el("p", words("entry.shares-hint"), class_="note"),
        wrong,
        *rows,
        known,
        more,
        id=f"f-{field.key}",
        class_="field bad" if wrong else "field",
        aria_describedby=f"f-{field.key}-wrong" if wrong else None,
        tabindex=-1,
        autofocus=focus,
    )
