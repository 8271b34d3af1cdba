"""Where the files that come with the program are: reference data and ready-made shops.

In a checkout they lie in ``shared/`` and ``seeds/`` beside the package; in an installed
wheel they travel inside it as ``floorboard/_shared`` and ``floorboard/_seeds``.
"""

from importlib import resources
from pathlib import Path

_PACKAGE_FOLDER = Path(str(resources.files("floorboard")))


def shared_file(name: str) -> Path:
    """Path of a reference data file.

    Parameters
    ----------
    name : file name below the shared folder, for instance ``control_chart_constants.toml``.

    Raises
    ------
    FileNotFoundError : when no such file came with the program.
    ValueError : when the name leads out of the shared folder.
    """
    return _find(name, "shared")


def seed_file(name: str) -> Path:
    """Path of a ready-made shop file; raises as `shared_file` does."""
    return _find(name, "seeds")


def _find(name: str, folder: str) -> Path:
    # The checkout comes first: an editable install has no copy inside the package.
    for root in (_PACKAGE_FOLDER.parent / folder, _PACKAGE_FOLDER / f"_{folder}"):
        path = (root / name).resolve()
        if not path.is_relative_to(root.resolve()):
            raise ValueError(f"'{name}' is not inside the {folder} folder; give a plain file name.")
        if path.exists():
            return path
    raise FileNotFoundError(
        f"'{name}' did not come with the program ({folder}); install floorboard again."
    )
