"""Which position on which sheet each label takes: what belongs together lies side by side.

The two labels of a strut, or of a hub and its arms, are peeled off in one go: side by side, or one below the other
where the columns are odd and a row has one position left. A position that no pair can take goes to the next single
label of that sheet.
"""

from collections.abc import Iterator, Sequence
from itertools import groupby

from labels.label import Label
from labels.stock import RollStock, SheetStock


def places(labels: Sequence[Label], stock: SheetStock | RollStock, start: int) -> Iterator[tuple[int, int]]:
    """Sheet and position of each label, both from 0, in the order of the labels.

    Parameters
    ----------
    labels : sequence of Label
        Two that follow each other under the same headline belong together.
    stock : SheetStock or RollStock
        On a roll all labels follow each other.
    start : int
        First free position of the first sheet, from 1.
    """
    free = _Free(stock, start - 1)
    for _headline, group in groupby(labels, key=lambda label: label.headline):
        count = len(tuple(group))
        yield from free.pair() if count == 2 else (free.single() for _ in range(count))


class _Free:
    """The positions that are still free; those of all sheets are counted on and on."""

    def __init__(self, stock: SheetStock | RollStock, first: int) -> None:
        self._columns = stock.columns if isinstance(stock, SheetStock) else 0
        self._per_sheet = stock.per_sheet
        self._taken: set[int] = set()
        self._first = self._pair_from = first

    def single(self) -> tuple[int, int]:
        """The first one."""
        while self._first in self._taken:
            self._first += 1
        return self._take(self._first)

    def pair(self) -> tuple[tuple[int, int], tuple[int, int]]:
        """The first two that are neighbours; two after each other on rolls, and where a sheet begun has one left."""
        at = max(self._pair_from, self._first)
        if not self._columns or self._per_sheet == 1 or (not self._taken and self._last_of_sheet(at)):
            return self.single(), self.single()
        while (other := self._neighbour(at)) is None:
            at += 1
        self._pair_from = at
        return self._take(at), self._take(other)

    def _last_of_sheet(self, at: int) -> bool:
        """True if no pair finds room from here to the end of the sheet, where nothing is taken yet."""
        return all(self._neighbour(one) is None for one in range(at, at + self._per_sheet - at % self._per_sheet))

    def _neighbour(self, at: int) -> int | None:
        """The free one on its right or below it, on the same sheet; None if there is none or it is taken itself."""
        if at in self._taken:
            return None
        position = at % self._per_sheet
        right = [at + 1] if (position + 1) % self._columns else []
        below = [at + self._columns] if self._columns % 2 and position + self._columns < self._per_sheet else []
        return next((one for one in (*right, *below) if one not in self._taken), None)

    def _take(self, at: int) -> tuple[int, int]:
        """Take one; single labels do not go back to the sheets before it."""
        self._taken.add(at)
        self._first = max(self._first, at - at % self._per_sheet)
        return divmod(at, self._per_sheet)
