"""Which section each line of a file has: that of the table [struts.NAME] of its name, else that of [strut]."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from fieldapp.base.errors import DesignError
from fieldapp.frame.frame import IntArray
from fieldapp.frame.given.record import Drawn

MOST_NAMED = 6
"""Sections named in a message (in no formula)."""


def sections_of_lines(drawn: Drawn, source: str, known: Sequence[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The section of every line, "" for [strut]; and a sentence for what counts as [strut] though it has a name.

    Told weaker or stronger than some of them are, limits would be wrong, and weights too. So a name without a table
    is never passed over where tables are given, but for one: somebody has to be [strut].

    Raises
    ------
    DesignError
        Names without a table, tables that no line names.

    Examples
    --------
    >>> import numpy as np
    >>> drawn = Drawn(np.zeros((2, 3)), np.zeros((2, 2), int), ("A", "B"), ("", ""), sections=("pole", "brace"))
    >>> sections_of_lines(drawn, "frame.csv", ["brace"])
    (('', 'brace'), ('1 line of section pole is as in [strut]',))
    """
    counted = Counter(drawn.sections)
    if not known:
        return (), _without_tables(counted, source)
    lost = [name for name in known if name not in counted]
    if lost:
        found = f"it has {_named(counted)}" if counted else "it names none"
        raise DesignError(f"{source}: no line is of section {', '.join(lost[:MOST_NAMED])}, which the design describes "
                          f"in [struts.…]; {found}. Correct the name, or take the table out.")
    left = Counter({name: count for name, count in counted.items() if name not in known})
    if len(left) > 1:
        raise DesignError(f"{source} has {_named(left)} without a table [struts.…]; allowed is one such, whose lines "
                          f"are as in [strut]. Write a table for each of the others.")
    told = tuple(f"{_lines(count)} of section {name} {'is' if count == 1 else 'are'} as in [strut]"
                 for name, count in left.items() if name)
    return tuple(name if name in known else "" for name in drawn.sections), told


def edges_once(drawn: Drawn, index: IntArray, source: str, known: Sequence[str]) -> Drawn:
    """The drawing with edges that neighbouring faces share, or that are drawn as lines too, there once.

    `index` is the welded point of each point. Lines that are drawn twice stay: those are faults.

    Raises
    ------
    DesignError
        If an edge lies on layers of two sections.
    """
    if not any(drawn.shared):
        return drawn
    ends = [(min(a, b), max(a, b)) for a, b in index[drawn.lines].tolist()]
    first = {pair: line for line, pair in reversed(list(enumerate(ends))) if not drawn.shared[line]}
    kept = []
    for line, pair in enumerate(ends):
        other = first.setdefault(pair, line)
        if not drawn.shared[line] or other == line:
            kept.append(line)
        elif len({drawn.sections[at] if drawn.sections[at] in known else "" for at in (line, other)}) > 1:
            raise DesignError(f"{source}: {drawn.where[line]} shares an edge with {drawn.where[other]}, which is of "
                              f"another section [struts.…]: nobody can tell of which the strut is. Draw it as a line "
                              f"on its layer, and both faces on one.")
    return replace(drawn, lines=drawn.lines[kept], where=tuple(drawn.where[line] for line in kept),
                   sections=tuple(drawn.sections[line] for line in kept), shared=())


def _without_tables(counted: Counter[str], source: str) -> tuple[str, ...]:
    """All struts are of [strut]: layers of a drawing are told, sections of a table refused."""
    if len(counted) < 2:
        return ()
    if source.lower().endswith(".dxf"):
        return (f"the lines of layers {_named(counted)} all count as the one section of [strut]; a layer of other "
                f"struts wants a table [struts.NAME]",)
    first = next(name for name, _ in counted.most_common()[::-1] if name)
    raise DesignError(f"{source} names {len(counted)} sections: {_named(counted)}; the design describes one, [strut], "
                      f"for all struts. Limits, weights and cut lengths would be wrong for the others: write a table "
                      f"for each, such as [struts.\"{first}\"], or take the column out.")


def _lines(count: int) -> str:
    return "1 line" if count == 1 else f"{count} lines"


def _named(counted: Counter[str]) -> str:
    """"pole 35 (2), brace 20 (1)"."""
    most = ", ".join(f"{name or 'none'} ({count})" for name, count in counted.most_common(MOST_NAMED))
    return most + (" …" if len(counted) > MOST_NAMED else "")
