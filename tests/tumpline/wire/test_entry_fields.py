"""The fields of every kind of book entry."""

import pytest

from tumpline.pressing.entries import (
    KINDS,
    Acknowledge,
    Correct,
    Dip,
    Draw,
    Entry,
    InService,
    Load,
    LoadOff,
    LoadOn,
    Note,
    OutOfService,
    Proof,
    Reason,
    Reset,
    Sample,
    Shelve,
    ShiftEnd,
    ShiftStart,
    Trailer,
    Transfer,
    Unshelve,
    Variety,
    Vat,
    VatKnown,
)
from tumpline.wire.entry_fields import entry_of
from tumpline.wire.words import Refused

LOAD: dict[str, object] = {
    "load": "L-7",
    "grower": "Coppice Farm",
    "net_kg": 4210,
    "varieties": [{"name": "Top Late", "share": 0.6}, {"name": "Acre Russet", "share": 0.4}],
}
PROOF: dict[str, object] = {
    "signal": "juice/flow",
    "start": "2026-10-14T07:00:00Z",
    "end": "2026-10-14T07:10:00Z",
}
_EVERY_KIND: list[tuple[str, dict[str, object], Entry]] = [
    ("shift-start", {"shift": "early", "crew": ["M", "N"], "note": "fog"}, ShiftStart("early", ("M", "N"), "fog")),
    ("shift-start", {"shift": "early", "crew": "M. Reed"}, ShiftStart("early", ("M. Reed",))),
    ("shift-end", {}, ShiftEnd()),
    ("shift-end", {"shift": "early", "note": ""}, ShiftEnd("early", (), "")),
    (
        "load",
        {**LOAD, "brix": 12, "acidity_g_per_l": 4.5, "tannin_g_per_l": 2, "harvested": "2026-10-10",
         "condition": "clean", "dry_matter_pct": 16},
        Load("L-7", "Coppice Farm", 4210.0, (Variety("Top Late", 0.6), Variety("Acre Russet", 0.4)), 12.0, 4.5, 2.0,
             "2026-10-10", "clean", 16.0),
    ),
    ("load-on", {"load": "L-7"}, LoadOn("L-7")),
    ("load-off", {"load": "L-7"}, LoadOff("L-7")),
    ("vat", {"vat": "V1"}, Vat("V1")),
    ("vat", {"vat": "V1", "capacity_l": 10000, "contents_l": 0}, Vat("V1", 10000.0, 0.0)),
    ("trailer", {"trailer": "T2", "capacity_kg": 8000}, Trailer("T2", 8000.0)),
    ("trailer", {"trailer": "T2", "net_kg": 7350.5}, Trailer("T2", None, 7350.5)),
    ("trailer", {"trailer": "T2", "net_kg": 7350.5, "to": "Nether Farm"}, Trailer("T2", None, 7350.5, "Nether Farm")),
    ("vat-known", {"vat": "V3", "capacity_l": 8000, "contents_l": 0}, VatKnown("V3", 8000.0, 0.0)),
    ("dip", {"vat": "V1", "volume_l": 6150}, Dip("V1", 6150.0)),
    ("transfer", {"from_vat": "V1", "to_vat": "V4", "volume_l": 2500}, Transfer("V1", "V4", 2500.0)),
    ("draw", {"vat": "V4", "volume_l": 900, "to": "The Plough"}, Draw("V4", 900.0, "The Plough")),
    (
        "proof",
        {"signal": "juice/flow", "start": "2026-10-14T07:00:00Z", "end": "2026-10-14T07:10:00Z", "volume_l": 500,
         "limits_pct": 0.2},
        Proof("juice/flow", 1791961200.0, 1791961800.0, 500.0, None, 0.2),
    ),
    ("sample", {"what": "pomace", "dry_matter_pct": 24.5}, Sample("pomace", 24.5)),
    ("sample", {"what": "juice", "brix": 12.1, "vat": "V1"}, Sample("juice", brix=12.1, vat="V1")),
    ("sample", {"what": "fruit", "ph": 3.6, "load": "L-7", "brix": None}, Sample("fruit", ph=3.6, load="L-7")),
    ("reason", {"stop": "stop-1", "reason": "cloth", "note": "torn"}, Reason("stop-1", "cloth", "torn")),
    ("acknowledge", {"alarm": "mill-blocked"}, Acknowledge("mill-blocked")),
    ("reset", {"alarm": "hard-object"}, Reset("hard-object")),
    ("out-of-service", {"alarm": "flume-low", "note": "new pump"}, OutOfService("flume-low", "new pump")),
    ("in-service", {"alarm": "flume-low"}, InService("flume-low")),
    ("shelve", {"alarm": "juice-low", "minutes": 30, "note": "washed"}, Shelve("juice-low", 30.0, "washed")),
    ("unshelve", {"alarm": "juice-low"}, Unshelve("juice-low")),
    ("correct", {"entry": "load-0123456789ab", "net_kg": 4120}, Correct("load-0123456789ab", {"net_kg": 4120.0})),
    ("note", {"text": "new cloth"}, Note("new cloth")),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "fields", "entry"), _EVERY_KIND)
def test_every_kind_is_read(kind: str, fields: dict[str, object], entry: Entry) -> None:
    """What the contract lets people say becomes an entry."""
    assert entry_of(kind, fields) == entry


def test_no_kind_was_forgotten() -> None:
    """The examples above cover every kind there is."""
    assert {kind for kind, _, _ in _EVERY_KIND} == set(KINDS)


@pytest.mark.parametrize(
    ("kind", "fields", "words"),
    [
        (
            "load",
            {**LOAD, "growr": "x"},
            'the field "growr" is not known (did you mean "grower"?); load, grower, net_kg',
        ),
        (
            "load",
            {"load": "L-7", "net_kg": 4},
            "it lacks grower and varieties; a load with load, grower, net_kg and varieties",
        ),
        ("load-on", {"load": None}, "it lacks load"),
        ("load", {**LOAD, "net_kg": "4210"}, '"net_kg" is text where a number belongs'),
        ("load", {**LOAD, "net_kg": True}, '"net_kg" is true or false where a number belongs'),
        ("load", {**LOAD, "net_kg": 0}, '"net_kg" is 0; a mass above 0 and up to 1000 t is accepted'),
        ("load", {**LOAD, "net_kg": -5}, '"net_kg" is -5'),
        ("load", {**LOAD, "net_kg": 10**400}, '"net_kg" is a number too large to be one'),
        ("load", {**LOAD, "load": " "}, '"load" is empty; a name or text is accepted'),
        ("load", {**LOAD, "grower": 5}, '"grower" is a number where text belongs'),
        ("load", {**LOAD, "brix": 86}, '"brix" is 86; 0 to 85 °Bx is accepted'),
        ("load", {**LOAD, "dry_matter_pct": 101}, '"dry_matter_pct" is 101; 0 to 100 % is accepted'),
        ("load", {**LOAD, "varieties": []}, "the shares of the varieties add up to 0; 1 within 0.001 is accepted"),
        ("load", {**LOAD, "varieties": [{"name": "Top Late", "share": 0.99}]}, "add up to 0.99"),
        ("load", {**LOAD, "varieties": [{"name": "Top Late", "share": 60}]}, 'the share of "Top Late" is 60'),
        ("load", {**LOAD, "varieties": [{"name": "", "share": 1}]}, 'the share of "" is 1; a named variety'),
        ("load", {**LOAD, "varieties": [{"name": "Top Late"}]}, '"varieties[0]" lacks its share'),
        ("load", {**LOAD, "varieties": [{"name": "Top Late", "shre": 1}]}, '"varieties[0]"'),
        ("load", {**LOAD, "varieties": "Top Late"}, '"varieties" is text where a list belongs'),
        ("sample", {"what": "juice"}, "it holds no figure; exactly one of dry_matter_pct, brix"),
        ("sample", {"what": "juice", "brix": 12, "ph": 3.5}, "it holds brix and ph; exactly one of"),
        ("sample", {"what": "must", "brix": 12}, '"what" is "must"; fruit, juice or pomace is accepted'),
        ("sample", {"what": ["juice"], "brix": 12}, '"what" is a list; fruit, juice or pomace is accepted'),
        ("sample", {"what": "juice", "ph": 15}, '"ph" is 15; 0 to 14 is accepted'),
        ("vat", {"vat": "V1", "capacity_l": 100, "contents_l": 101}, '"contents_l" is 101; up to the vat\'s'),
        ("vat-known", {"vat": "V1", "capacity_l": 100, "contents_l": 101}, '"contents_l" is 101; up to the vat\'s'),
        ("vat", {"vat": "V1", "capacity_l": 0}, '"capacity_l" is 0'),
        ("trailer", {"trailer": "T2", "net_kg": 0}, '"net_kg" is 0'),
        ("dip", {"vat": "V1", "volume_l": -1}, '"volume_l" is -1; a volume from 0 to 10000 m³ is accepted'),
        ("transfer", {"from_vat": "V1", "to_vat": "V1", "volume_l": 9}, '"from_vat" and "to_vat" are both "V1"'),
        ("proof", {**PROOF}, "it holds neither; one of volume_l or mass_kg is accepted"),
        ("proof", {**PROOF, "volume_l": 5, "mass_kg": 5}, "it holds both; one of"),
        ("proof", {**PROOF, "volume_l": 5, "end": PROOF["start"]}, '"end" is not after "start"'),
        ("proof", {**PROOF, "volume_l": 5, "end": "ten past"}, '"end" is "ten past"; a time such as'),
        ("proof", {**PROOF, "volume_l": 5, "end": 1791961800}, '"end" is 1791961800; a time such as'),
        ("shelve", {"alarm": "juice-low"}, "it lacks minutes"),
        ("shelve", {"alarm": "juice-low", "minutes": 0}, '"minutes" is 0; a time above 0 and up to 1440 minutes'),
        ("shelve", {"alarm": "juice-low", "minutes": 1441}, '"minutes" is 1441'),
        ("shift-start", {"shift": "early", "crew": [1]}, '"crew[0]" is a number where text belongs'),
        ("shift-start", {"shift": "early", "crew": 3}, '"crew" is a number where a list belongs'),
        ("note", {"text": ""}, '"text" is empty'),
        ("correct", {"net_kg": 5}, '"entry" is null; the id of an earlier entry (load-0123456789ab) is accepted'),
        ("correct", {"entry": "L-7", "net_kg": 5}, '"entry" is "L-7"'),
        ("correct", {"entry": "correct-0123456789ab", "net_kg": 5}, '"entry" is "correct-0123456789ab"'),
        ("correct", {"entry": "load-0123456789ab"}, "it changes nothing; at least one of load, grower"),
        ("correct", {"entry": "load-0123456789ab", "net": 5}, 'the field "net" is not known'),
        ("correct", {"entry": "load-0123456789ab", "net_kg": -5}, '"net_kg" is -5'),
        ("correct", {"entry": "load-0123456789ab", "net_kg": None}, '"net_kg" is null where a number belongs'),
        ("correct", {"entry": "load-0123456789ab", "fields": 5}, '"fields" holds no fields'),
        ("correct", {"entry": "load-on-0123456789ab", "fields": {"at": "7:30"}}, '"at" is "7:30"; a time such as'),
    ],
)
def test_a_mistake_is_named_in_one_sentence(kind: str, fields: dict[str, object], words: str) -> None:
    """Whoever typed it learns which field, what was wrong, and what would be accepted."""
    refused = entry_of(kind, fields)
    assert isinstance(refused, Refused), refused
    assert words in refused.reason


@pytest.mark.parametrize("shares", [(0.333, 0.333, 0.333), (0.3335, 0.3335, 0.334)])
def test_shares_may_be_rounded(shares: tuple[float, ...]) -> None:
    """Three thirds to three digits are a whole."""
    varieties = [{"name": str(n), "share": share} for n, share in enumerate(shares)]
    assert isinstance(entry_of("load", {**LOAD, "varieties": varieties}), Load)


def test_a_correction_may_keep_its_fields_apart() -> None:
    """An object `fields` means the same as fields beside `entry`, and is the place for a new time."""
    fields: dict[str, object] = {
        "entry": "load-on-0123456789ab",
        "fields": {"load": "L-8", "at": "2026-10-14T07:00:00Z"},
    }
    assert entry_of("correct", fields) == Correct("load-on-0123456789ab", {"load": "L-8", "at": 1791961200.0})
