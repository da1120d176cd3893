"""What a rule between answers of a design is: the answers it reads, and the problems it sees."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from fieldapp.frame.design import Design


@dataclass(frozen=True, slots=True)
class DesignRule:
    """A check and the answers it reads, as `section.key`."""

    reads: tuple[str, ...]
    problems: Callable[[Design], Iterator[str]]
