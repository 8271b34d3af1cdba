"""How wrong PINs lock, for one address and for all together."""

from __future__ import annotations

from floorboard.serve.attempts import ADDRESS_RULE, Attempts, LockRule


def test_a_few_mistakes_cost_nothing() -> None:
    attempts = Attempts()
    for _ in range(ADDRESS_RULE.free):
        attempts.failed("192.0.2.5", 0.0)
    assert attempts.wait_seconds("192.0.2.5", 0.0) == 0


def test_each_further_mistake_locks_twice_as_long_up_to_a_limit() -> None:
    attempts = Attempts(overall_rule=LockRule(10**6, 1, 1, 1))
    waits = []
    for _ in range(15):
        attempts.failed("192.0.2.5", 0.0)
        waits.append(attempts.wait_seconds("192.0.2.5", 0.0))
    assert waits[:8] == [0, 0, 0, 0, 30, 60, 120, 240]
    assert waits[-1] == 3600


def test_a_lock_runs_out_and_binds_only_its_address() -> None:
    attempts = Attempts()
    for _ in range(5):
        attempts.failed("192.0.2.5", 0.0)
    assert attempts.wait_seconds("192.0.2.5", 29.0) == 1
    assert attempts.wait_seconds("192.0.2.5", 30.0) == 0
    assert attempts.wait_seconds("192.0.2.6", 0.0) == 0


def test_many_addresses_together_are_locked_too() -> None:
    attempts = Attempts()
    for number in range(21):
        attempts.failed(f"192.0.2.{number}", 0.0)
    assert attempts.wait_seconds("198.51.100.1", 0.0) == 5


def test_knowing_the_pin_clears_the_address_but_not_the_overall_count() -> None:
    attempts = Attempts()
    for number in range(20):
        attempts.failed(f"192.0.2.{number}", 0.0)
    attempts.succeeded("192.0.2.1")
    attempts.failed("192.0.2.1", 0.0)
    assert attempts.wait_seconds("192.0.2.1", 0.0) == 5


def test_mistakes_are_forgotten_after_a_long_quiet_time() -> None:
    attempts = Attempts()
    for _ in range(6):
        attempts.failed("192.0.2.5", 0.0)
    later = ADDRESS_RULE.forget_seconds + 1
    attempts.failed("192.0.2.5", later)
    assert attempts.wait_seconds("192.0.2.5", later) == 0


def test_one_network_of_many_addresses_counts_as_one_sender() -> None:
    attempts = Attempts()
    for number in range(5):
        attempts.failed(f"2001:db8:0:1::{number:x}", 0.0)
    assert attempts.wait_seconds("2001:db8:0:1:ffff::1", 0.0) > 0
    assert attempts.wait_seconds("2001:db8:0:2::1", 0.0) == 0
    for _ in range(5):
        attempts.failed("::ffff:192.0.2.9", 0.0)
    assert attempts.wait_seconds("192.0.2.9", 0.0) > 0


def test_the_list_of_addresses_stays_bounded() -> None:
    attempts = Attempts(most_addresses=3, overall_rule=LockRule(10**6, 1, 1, 1))
    for _ in range(5):
        attempts.failed("192.0.2.1", 0.0)
    for number in range(2, 5):
        attempts.failed(f"192.0.2.{number}", 0.0)
    assert len(attempts._addresses) == 3
    assert attempts.wait_seconds("192.0.2.1", 0.0) == 0
