"""Whether only its owner may read a file, where the system knows such rights."""

import os


def owner_alone(path):
    """True also where folders of a user keep others out and files have no such rights (Windows)."""
    return os.name != "posix" or path.stat().st_mode & 0o077 == 0
