"""The forms of the shift book: which fields each has, in the order in which people know the answers."""

from enum import Enum

from msgspec import Struct

from tumpline.settings import Role


class Sort(Enum):
    """How a field is filled in."""

    TEXT = "text"
    LONG = "long"
    NUMBER = "number"
    CHOICE = "choice"
    PICK = "pick"
    """A choice, or something else in one's own words."""
    TIME = "time"
    NAMES = "names"
    VARIETIES = "varieties"
    HIDDEN = "hidden"


class Field(Struct, frozen=True):
    """One field: its key is the entry's own, `gross_kg` and `tare_kg` apart."""

    key: str
    sort: Sort = Sort.TEXT
    required: bool = False
    known: str = ""
    """What there is to choose from or to be reminded of: `waiting`, `on`, `lots`, `vats`, `trailers`, …"""


class Form(Struct, frozen=True):
    """One form; it writes entries of one kind."""

    name: str
    kind: str
    fields: tuple[Field, ...]
    role: Role = "operate"
    """What one must be allowed to send it."""

    def field(self, key: str) -> Field | None:
        """The field of that key."""
        return next((field for field in self.fields if field.key == key), None)


def _number(key: str, *, required: bool = False) -> Field:
    return Field(key, Sort.NUMBER, required)


AT = Field("at", Sort.TIME)
NOTE = Field("note", Sort.LONG)
VAT = Field("vat", Sort.PICK, required=True, known="vats")
TRAILER = Field("trailer", Sort.PICK, required=True, known="trailers")
VOLUME = _number("volume_l", required=True)
WEIGHED = (_number("gross_kg"), _number("tare_kg"), _number("net_kg", required=True))
SAMPLED = ("dry_matter_pct", "brix", "acidity_g_per_l", "tannin_g_per_l", "ph")
"""What a sample can tell; each makes an entry of its own."""
MINUTES = ("15", "30", "60", "120", "480")
"""How long an alarm can be set aside at one touch."""

FORMS = {
    form.name: form
    for form in (
        Form(
            "load",
            "load",
            (
                Field("load", required=True),
                Field("grower", required=True, known="growers"),
                *WEIGHED,
                Field("varieties", Sort.VARIETIES, required=True, known="varieties"),
                *(_number(key) for key in SAMPLED[:4]),
                Field("harvested"),
                Field("condition"),
                AT,
            ),
        ),
        Form("load-on", "load-on", (Field("load", Sort.CHOICE, required=True, known="waiting"), AT)),
        Form("load-off", "load-off", (Field("load", Sort.CHOICE, required=True, known="on"), AT)),
        Form("vat", "vat", (VAT, _number("contents_l"), _number("capacity_l"), AT)),
        Form("dip", "dip", (VAT, VOLUME, AT)),
        Form(
            "transfer",
            "transfer",
            (Field("from_vat", required=True, known="vats"), Field("to_vat", required=True, known="vats"), VOLUME, AT),
        ),
        Form("draw", "draw", (VAT, VOLUME, Field("to"), AT)),
        Form("trailer", "trailer", (TRAILER, _number("capacity_kg"), AT)),
        Form("weigh-ticket", "trailer", (TRAILER, *WEIGHED, Field("to"), AT)),
        Form(
            "sample",
            "sample",
            (
                Field("what", Sort.CHOICE, required=True, known="what"),
                *(_number(key) for key in SAMPLED),
                Field("load", known="lots"),
                Field("vat", known="vats"),
                AT,
            ),
        ),
        Form(
            "reason",
            "reason",
            (
                Field("stop", Sort.HIDDEN, required=True),
                Field("reason", Sort.PICK, required=True, known="reasons"),
                NOTE,
            ),
        ),
        Form(
            "proof",
            "proof",
            (
                Field("signal", Sort.CHOICE, required=True, known="meters"),
                Field("start", Sort.TIME, required=True),
                Field("end", Sort.TIME, required=True),
                _number("volume_l"),
                _number("mass_kg"),
                _number("limits_pct"),
            ),
        ),
        Form(
            "vat-known",
            "vat-known",
            (Field("vat", required=True, known="vats"), _number("capacity_l"), _number("contents_l"), AT),
        ),
        Form("note", "note", (Field("text", Sort.LONG, required=True), AT)),
        Form("shift-start", "shift-start", (Field("shift", required=True), Field("crew", Sort.NAMES), NOTE, AT)),
        Form("shift-end", "shift-end", (NOTE, AT)),
        Form(
            "shelve",
            "shelve",
            (
                Field("alarm", Sort.HIDDEN, required=True),
                Field("minutes", Sort.CHOICE, required=True, known="minutes"),
                Field("note", Sort.LONG, required=True),
            ),
        ),
        Form(
            "out-of-service",
            "out-of-service",
            (Field("alarm", Sort.HIDDEN, required=True), Field("note", Sort.LONG, required=True)),
            role="manage",
        ),
    )
}
"""Every form by its name in the address."""


def form_for(kind: str, *, weighed: bool = False) -> Form | None:
    """The form that puts an entry of that kind right; None where such an entry is not put right."""
    if kind == "trailer" and weighed:
        return FORMS["weigh-ticket"]
    return None if kind in ("shelve", "shift-end", "out-of-service") else FORMS.get(kind)
