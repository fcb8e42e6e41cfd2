"""Where the open data and published papers lie, for the tests that read them."""

import os
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


def shared_data(*parts: str) -> Path:
    """Return a path under the data folder beside the checkout, or skip and say why.

    A stranger's clone has no such folder: there the checks that read it are skipped.
    """
    folder = Path(os.environ.get("RINGKEEP_SHARED", ROOT.parent / "shared")) / "data"
    path = folder.joinpath(*parts)
    if not path.exists():
        pytest.skip(f"needs the open data folder beside the checkout: {'/'.join(parts)}")
    return path
