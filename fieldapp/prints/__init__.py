"""Turns kit, plan and state into the plain records that `labels` draws.

What is printed for a kit speaks the language of its design, whoever asks for it and however their phone is set.
"""

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

from fieldapp.base.words import printed_in
from fieldapp.kit.kit import Kit

P = ParamSpec("P")
R = TypeVar("R")


def in_kit_language(write: Callable[P, R]) -> Callable[P, R]:
    """For functions that write paper of a kit, their first argument: sentences are made in the kit's language."""
    @wraps(write)
    def printed(*args: P.args, **kwargs: P.kwargs) -> R:
        kit = args[0]
        assert isinstance(kit, Kit)
        with printed_in(kit.design.site.language):
            return write(*args, **kwargs)

    return printed
