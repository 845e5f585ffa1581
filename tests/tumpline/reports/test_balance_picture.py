"""Where the mass went."""

import re

import msgspec

from records import SUMMARY, within
from tumpline.pressing.records import Unknown
from tumpline.reports.balance_picture import balance_picture, balance_words
from tumpline.wire.documents import summary_document

RECONCILED = {"fruit_kg": within(4195.0, 50.0), "water_kg": within(60.0, 40.0), "juice_kg": within(3141.0, 15.0)}


def document(**reconciled: object) -> dict[str, object]:
    """The summary with these masses in its balance."""
    balance = msgspec.structs.replace(SUMMARY.balance, reconciled={**RECONCILED, **reconciled})
    return summary_document(msgspec.structs.replace(SUMMARY, balance=balance))


def words(drawn: str) -> list[str]:
    """What is written in a drawing."""
    return re.findall(r">([^<>]+)</text>", drawn)


def test_every_stream_stands_with_its_best_estimate_and_what_its_meter_says() -> None:
    """Reconciled figures stand beside the raw ones; 3141 of 4255 kg is 74 %."""
    said = words(balance_picture(document(pomace_kg=within(1114.0, 40.0)), 186.0).text)
    for expected in (
        "fruit 4\u202f195 kg",
        "meters: 4\u202f200",
        "water carried in 60 kg",
        "juice 3\u202f141 kg",
        "74 %",
    ):
        assert expected in said
    assert "pomace 1\u202f114 kg" in said and "meters: 1\u202f200" in said


def test_meters_that_contradict_each_other_stand_alone() -> None:
    """Without a best estimate each stream is drawn by its own meter, and says so."""
    why = Unknown("the meters disagree and cannot tell which is wrong")
    unknown = document(fruit_kg=why, water_kg=why, juice_kg=why, pomace_kg=why)
    said = words(balance_picture(unknown, 186.0).text)
    assert "fruit 4\u202f200 kg" in said and said.count("by the meter alone") == 3
    assert f"No best estimate of all meters together: {why.why}." in balance_words(unknown)


def test_a_balance_that_is_not_known_says_why() -> None:
    """No streams are drawn from nothing."""
    none = Unknown("no pomace weigher is fitted")
    balance = msgspec.structs.replace(SUMMARY.balance, reconciled={**RECONCILED, "pomace_kg": none})
    bare = summary_document(msgspec.structs.replace(SUMMARY, balance=balance, pomace=none))
    said = words(balance_picture(bare, 186.0).text)
    assert said == ["The balance is not known: no pomace weigher is fitted."]


def test_the_balance_is_said_in_sentences() -> None:
    """What is left over, which meter fits least, and what would settle it."""
    balance = msgspec.structs.replace(SUMMARY.balance, suspect="juice/flow")
    said = balance_words(summary_document(msgspec.structs.replace(SUMMARY, balance=balance)))
    assert "by the meters alone: \u221212 (\u221270 to 44) kg" in said
    assert "juice/flow fits the others least" in said
    assert said.endswith("a dip of vat V1 would settle it")
