import tomllib

import pytest

from floorboard.shop import locations
from floorboard.shop.locations import seed_file, shared_file


def test_a_shared_file_is_found_in_a_checkout_and_can_be_read() -> None:
    with shared_file("physical_constants.toml").open("rb") as file:
        assert tomllib.load(file)["atomic_masses"]["hydrogen"] == 1.008


def test_files_are_found_inside_an_installed_package(tmp_path, monkeypatch) -> None:
    package = tmp_path / "floorboard"
    for folder in ("_shared", "_seeds"):
        (package / folder).mkdir(parents=True)
        (package / folder / "a.toml").write_text("x = 1\n")
    monkeypatch.setattr(locations, "_PACKAGE_FOLDER", package)
    assert shared_file("a.toml") == package.resolve() / "_shared" / "a.toml"
    assert seed_file("a.toml") == package.resolve() / "_seeds" / "a.toml"


@pytest.mark.parametrize("find", [shared_file, seed_file])
def test_a_missing_file_is_told_in_a_sentence(find) -> None:
    with pytest.raises(FileNotFoundError, match="did not come with the program"):
        find("no-such-file.toml")


@pytest.mark.parametrize("find", [shared_file, seed_file])
def test_a_name_that_leads_out_of_the_folder_is_refused(find) -> None:
    with pytest.raises(ValueError, match="plain file name"):
        find("../pyproject.toml")
