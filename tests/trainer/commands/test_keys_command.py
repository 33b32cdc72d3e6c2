"""`keyfarer keys`: the keys of the app in lines of text, and other keys for them."""

from tests.trainer.commands.commanding import keyfarer
from trainer.screens.actions import ACTIONS


def test_every_action_is_listed_with_its_key() -> None:
    """Each has a line with its name, its key and what it does."""
    done = keyfarer("keys")
    told = " ".join(done.stdout.split())
    assert 0 == done.returncode
    assert all(f"{action.id}: {action.shown}. {action.about.split('{')[0].strip()}" in told for action in ACTIONS)


def test_a_key_is_given_and_taken_back() -> None:
    """The new key is told and listed from then on; --usual brings the usual one back."""
    done = keyfarer("keys", "again", "F10")
    assert (0, "again: F10.") == (done.returncode, done.stdout[:11])
    assert keyfarer("keys", "again").stdout == done.stdout
    assert keyfarer("keys", "slower", "f2").stdout.startswith("slower: F2.")
    assert keyfarer("keys", "again", "--usual").returncode == 2  # F2 is taken now
    assert keyfarer("keys", "--usual").stdout.startswith("begin: Enter.")
    assert keyfarer("keys", "again").stdout.startswith("again: F2.")


def test_faults_are_told() -> None:
    """No such action, no such key, a key that is taken: each is said, and nothing is kept."""
    for arguments, told in (
        (("gain",), "did you mean again"),
        (("gain", "F10"), "did you mean again"),
        (("again", "F77"), "'F77' is no key; expected a sign"),
        (("again", "F3"), "F3 would mean both again and slower"),
    ):
        done = keyfarer("keys", *arguments)
        assert (2, "") == (done.returncode, done.stdout)
        assert told in done.stderr
    assert keyfarer("keys", "again").stdout.startswith("again: F2.")
