"""Guessing passwords becomes slow."""

from tumpline.adapters.web.guesses import MOST, Guesses


def tried(guesses: Guesses, count: int, *, name: str = "Ada", address: str = "192.0.2.1", at: float = 0.0) -> None:
    """So many wrong log-ins."""
    for _ in range(count):
        guesses.wrong(name, address, at)


def test_a_few_mistakes_cost_nothing_and_more_cost_twice_as_much_each() -> None:
    """Five are free; then 15 s, 30 s, 60 s, up to a quarter of an hour."""
    guesses = Guesses()
    waits = []
    for _ in range(14):
        waits.append(guesses.wait("ada", "192.0.2.1", 0.0))
        tried(guesses, 1)
    assert waits == [0.0] * 5 + [15.0, 30.0, 60.0, 120.0, 240.0, 480.0, 900.0, 900.0, 900.0]


def test_waiting_helps_and_so_does_the_right_password() -> None:
    """After the wait the next log-in is looked at; after a right one all is as at first."""
    guesses = Guesses()
    tried(guesses, 5)
    assert (guesses.wait("Ada", "192.0.2.1", 10.0), guesses.wait("Ada", "192.0.2.1", 15.0)) == (5.0, 0.0)
    guesses.right("Ada", "192.0.2.1")
    assert guesses.wait("Ada", "192.0.2.1", 0.0) == 0.0


def test_others_are_not_held_up() -> None:
    """Wrong log-ins of one name from one address leave other addresses and names alone."""
    guesses = Guesses()
    tried(guesses, 8)
    assert guesses.wait("Ada", "192.0.2.2", 0.0) == guesses.wait("Bo", "192.0.2.1", 0.0) == 0.0


def test_many_names_from_one_address_are_one_guesser() -> None:
    """Twenty wrong log-ins of any names, and the address waits."""
    guesses = Guesses()
    for number in range(20):
        tried(guesses, 1, name=f"n{number}")
    assert guesses.wait("Bo", "192.0.2.1", 0.0) == 15.0


def test_many_addresses_at_one_name_are_one_guesser() -> None:
    """Fifty wrong log-ins of one name from anywhere, and the name waits."""
    guesses = Guesses()
    for number in range(50):
        tried(guesses, 1, address=f"192.0.2.{number}")
    assert guesses.wait("Ada", "198.51.100.1", 0.0) == 15.0


def test_mistakes_of_long_ago_are_forgotten_and_the_memory_is_bounded() -> None:
    """An hour later one begins anew; the names that are remembered do not grow for ever."""
    guesses = Guesses()
    tried(guesses, 5)
    tried(guesses, 1, at=4000.0)
    assert guesses.wait("Ada", "192.0.2.1", 4000.0) == 0.0
    for number in range(MOST):
        guesses.wrong(f"n{number}", "192.0.2.9", 4000.0)
    assert len(guesses._wrong) <= MOST
