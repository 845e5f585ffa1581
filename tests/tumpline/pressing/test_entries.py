"""Book entries: the kinds a client may write, and their fields as published."""

import re

import msgspec
import pytest

from tumpline.pressing.entries import KINDS, Load, Sample

PUBLISHED = {
    "shift-start": {"shift", "crew", "note"},
    "shift-end": {"shift", "crew", "note"},
    "load": {
        "load", "grower", "net_kg", "varieties", "brix", "acidity_g_per_l", "tannin_g_per_l", "harvested", "condition",
        "dry_matter_pct",
    },
    "load-on": {"load"},
    "load-off": {"load"},
    "vat": {"vat", "capacity_l", "contents_l"},
    "vat-known": {"vat", "capacity_l", "contents_l"},
    "trailer": {"trailer", "capacity_kg", "net_kg", "to"},
    "dip": {"vat", "volume_l"},
    "transfer": {"from_vat", "to_vat", "volume_l"},
    "draw": {"vat", "volume_l", "to"},
    "proof": {"signal", "start", "end", "volume_l", "mass_kg", "limits_pct"},
    "sample": {"what", "dry_matter_pct", "brix", "acidity_g_per_l", "tannin_g_per_l", "ph", "load", "vat"},
    "reason": {"stop", "reason", "note"},
    "acknowledge": {"alarm"},
    "reset": {"alarm"},
    "shelve": {"alarm", "minutes", "note"},
    "unshelve": {"alarm"},
    "out-of-service": {"alarm", "note"},
    "in-service": {"alarm"},
    "correct": {"entry", "fields"},
    "note": {"text"},
}  # fmt: skip


def test_the_kinds_and_their_fields_are_the_published_ones() -> None:
    """A client written against the published table keeps working."""
    assert {kind: set(entry.__struct_fields__) for kind, entry in KINDS.items()} == PUBLISHED


@pytest.mark.parametrize("kind", KINDS)
def test_a_kind_is_its_class_s_name(kind: str) -> None:
    """Whoever knows the one finds the other."""
    assert re.sub(r"(?<!^)(?=[A-Z])", "-", KINDS[kind].__name__).lower() == kind


def test_a_field_nobody_knows_is_refused_and_not_dropped() -> None:
    """A misspelt field would otherwise be a figure that silently was not given."""
    good = {"load": "41", "grower": "Coppice Farm", "net_kg": 4000.0, "varieties": []}
    assert msgspec.convert(good, Load).net_kg == 4000.0
    with pytest.raises(msgspec.ValidationError, match="brixx"):
        msgspec.convert(good | {"brixx": 12.0}, Load)
    with pytest.raises(msgspec.ValidationError, match="what"):
        msgspec.convert({"what": "water", "brix": 1.0}, Sample)


def test_an_entry_stays_as_it_was_written() -> None:
    """Entries are corrected by other entries, never in place."""
    entry = Load("41", "Coppice Farm", 4000.0, ())
    with pytest.raises(AttributeError):
        entry.net_kg = 1.0  # type: ignore[misc]  # the refusal is what is tested
