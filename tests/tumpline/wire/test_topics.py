"""Topics, as others write and read them."""

from tumpline.wire.topics import Address, Topics

TOPICS = Topics("site/tumpline")


def test_topics_are_those_of_the_contract() -> None:
    """What others subscribe to is spelled as promised."""
    assert TOPICS.signal("line-1", "mill/throughput") == "site/tumpline/line-1/signal/mill/throughput"
    assert TOPICS.book("line-1", "load-on") == "site/tumpline/line-1/book/load-on"
    assert TOPICS.live("line-1") == "site/tumpline/line-1/live"
    assert TOPICS.event("line-1") == "site/tumpline/line-1/event"
    assert TOPICS.alarm("line-1", "mill-blocked") == "site/tumpline/line-1/alarm/mill-blocked"
    assert TOPICS.summary("line-1", "2026-10-14 early") == "site/tumpline/line-1/summary/2026-10-14 early"
    assert TOPICS.service("line-1") == "site/tumpline/line-1/service"


def test_a_shift_named_by_people_cannot_break_its_topic() -> None:
    """A name holds whatever somebody typed; a topic has one level for it and no patterns."""
    assert TOPICS.summary("line-1", "early/#+\0") == "site/tumpline/line-1/summary/early____"
    assert TOPICS.summary("line-1", "") == "site/tumpline/line-1/summary/_"


def test_subscriptions_bring_signals_and_the_book_and_nothing_of_our_own() -> None:
    """The service hears what it is for, and never itself."""
    assert TOPICS.subscriptions(["a", "b"]) == [
        "site/tumpline/a/signal/#",
        "site/tumpline/a/book/+",
        "site/tumpline/b/signal/#",
        "site/tumpline/b/book/+",
    ]


def test_topics_are_taken_apart() -> None:
    """What lies under the root has a line and a branch."""
    assert TOPICS.parse("site/tumpline/line-1/signal/vat/V1/volume") == Address("line-1", "signal", "vat/V1/volume")
    assert TOPICS.parse("site/tumpline/line-1/live") == Address("line-1", "live", "")


def test_foreign_topics_are_not_ours() -> None:
    """Another root, or no branch, is nothing of ours."""
    for topic in ("site/other/line-1/live", "tumpline/line-1/live", "site/tumpline/line-1", "site/tumpline", ""):
        assert TOPICS.parse(topic) is None
