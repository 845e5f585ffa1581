"""Reasons held for a moment."""

from tumpline.adapters.web.answers import Answer, Answers


def answer(stop: str, reason: str, due: float, line: str = "line-1") -> Answer:
    """What Ada said about a stop."""
    return Answer(line, stop, reason, "Ada", due)


def test_an_answer_waits_until_it_is_due() -> None:
    """Until then it can be seen and taken back; afterwards it is written down once."""
    answers = Answers()
    answers.hold(answer("stop-7", "break", 10.0))
    assert answers.due(9.9) == [] and answers.of("line-1") == answer("stop-7", "break", 10.0)
    assert answers.due(10.0) == [answer("stop-7", "break", 10.0)]
    assert answers.due(10.0) == [] and answers.of("line-1") is None


def test_the_last_word_about_a_stop_counts() -> None:
    """A second touch replaces the first."""
    answers = Answers()
    answers.hold(answer("stop-7", "break", 10.0))
    answers.hold(answer("stop-7", "no fruit", 12.0))
    assert answers.due(99.0) == [answer("stop-7", "no fruit", 12.0)]


def test_an_answer_about_the_next_stop_does_not_lose_the_one_before() -> None:
    """It is written down at once; lines do not mix."""
    answers = Answers()
    answers.hold(answer("stop-7", "break", 10.0))
    answers.hold(answer("stop-8", "no fruit", 15.0))
    answers.hold(answer("stop-1", "cloth", 15.0, line="line-2"))
    answers.take_back("line-2")
    assert answers.due(5.0) == [answer("stop-7", "break", 10.0)]
    assert answers.due(15.0) == [answer("stop-8", "no fruit", 15.0)]
