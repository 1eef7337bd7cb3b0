"""The secret in the data folder is whole, or made anew."""

import pytest

from shop.settings import kept_secret


def test_the_secret_is_made_once_and_for_its_owner_only(tmp_path):
    path = tmp_path / "new" / "secret-key"
    made = kept_secret(path)
    assert len(made) >= 50
    assert kept_secret(path) == made
    assert path.stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize("left", [b"", b"\n", b"half-a-secret", b"\0" * 50], ids=repr)
def test_what_a_power_cut_left_of_it_is_made_anew(tmp_path, left):
    path = tmp_path / "secret-key"
    path.write_bytes(left)
    assert len(kept_secret(path)) >= 50
    assert kept_secret(path) == path.read_text().strip()
