"""How one label is composed: the symbol as large as the label allows, the words legible at arm's length.

What finds no room at a legible size is left out and named in a warning: nothing shrinks in silence.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from labels.curve import module_on_tube_mm
from labels.fonts import CAP_HEIGHT, missing_characters, unit_width
from labels.label import Label
from labels.pieces import Composition, Piece, SymbolMark, Warned, Words
from labels.room import ASIDE_CAP_MM, PADDING_MM, Room, Wanted, find_room, squeezed
from labels.symbol import Level, Symbol, make_symbol
from labels.tags import compose_tags
from labels.textblock import RowKind, TextRow, draw_rows, draw_up_post

IMPORTANCE: tuple[RowKind, ...] = ("post", "class", "line", "small")
"""What is kept first when there is no room for all; ID and symbol come before."""

LARGEST_MM = 600.0
"""No label is larger than two sheets; our choice [mm]. Test: tests/labels."""
GROWTH = 1.1
"""Step by which the size of a sufficient label is looked for."""


def compose(label: Label, size_mm: tuple[float, float], *, level: Level = "M", printer_dpi: int | None = None
            ) -> Composition:
    """Lay out one label.

    Parameters
    ----------
    label : Label
    size_mm : (width, height)
        The label's size [mm].
    level : "L", "M", "Q" or "H"
        Error correction of the symbol.
    printer_dpi : int or None
        If given, modules are whole printer dots.

    Returns
    -------
    Composition
        Its `warnings` name every text that found no room.

    Raises
    ------
    LabelError
        If the symbol's text is too long for any symbol.
    """
    if label.tags:
        return compose_tags(label, size_mm)
    symbol = make_symbol(label.symbol_text, level) if label.symbol_text else None
    wanted = Wanted(label_rows(label), label.arrow if label.arrow_up else "", symbol.full_size if symbol else 0,
                    *size_mm, printer_dpi, label.arrow_short, _most_module_mm(label, symbol))
    kept, left_out = what_fits(wanted)
    room = find_room(kept)
    if room is None:
        room, left_out = squeezed(kept), [*left_out, label.headline]
    warnings = (*_left_out_warnings(label, wanted, left_out), *strange_warnings(label))
    return Composition(*size_mm, tuple(_pieces(label, kept, room, symbol)), warnings)


def _most_module_mm(label: Label, symbol: Symbol | None) -> float:
    """What a tube allows; on one too thin for any symbol, where the label becomes a flag, nothing is held back."""
    if not (symbol and label.tube_mm):
        return math.inf
    return module_on_tube_mm(label.tube_mm, symbol.size) or math.inf


def label_rows(label: Label) -> tuple[TextRow, ...]:
    """Rows of the text block, top to bottom."""
    rows = [TextRow("headline", label.headline)]
    if label.band_letter:
        rows.append(TextRow("class", label.band_letter, label.bands))
    if label.arrow and not label.arrow_up:
        rows.append(TextRow("post", label.arrow))
    rows += [TextRow("line", line) for line in label.lines]
    if label.footnote:
        rows.append(TextRow("small", label.footnote))
    return tuple(rows)


def what_fits(wanted: Wanted) -> tuple[Wanted, list[str]]:
    """As much of it as finds room, most important first, and the texts that do not."""
    for whole in (wanted, replace(wanted, post=wanted.post_short)) if wanted.post_short else (wanted,):
        if find_room(whole):
            return whole, []
    kept = replace(wanted, rows=wanted.rows[:1], post="", modules=0)
    left_out = []
    for text, choices in _additions(wanted):
        larger = next((more for choice in choices if find_room(more := _with(kept, choice, wanted))), None)
        if larger:
            kept = larger
        else:
            left_out.append(text)
    return kept, left_out


def _additions(wanted: Wanted) -> Iterator[tuple[str, tuple[TextRow | str, ...]]]:
    """All but the ID in order of importance: what it is, and the forms in which it may be added."""
    if wanted.modules:
        yield "QR symbol", ("symbol",)
    if wanted.post:
        yield wanted.post, ("post", "short post") if wanted.post_short else ("post",)
    for kind in IMPORTANCE:
        for row in wanted.rows:
            if row.kind == kind:
                yield row.text, (row, *broken(row))


def _with(kept: Wanted, addition: TextRow | str, wanted: Wanted) -> Wanted:
    """`kept` with one thing more, in the order of `wanted`."""
    if isinstance(addition, TextRow):
        return replace(kept, rows=_sorted((*kept.rows, addition), wanted))
    if addition == "symbol":
        return replace(kept, modules=wanted.modules)
    return replace(kept, post=wanted.post if addition == "post" else wanted.post_short)


def _sorted(rows: tuple[TextRow, ...], wanted: Wanted) -> tuple[TextRow, ...]:
    """Rows in the order of `wanted`, broken or not."""
    order = [row.text for row in wanted.rows]
    return tuple(sorted(rows, key=lambda row: order.index(row.text.replace("\n", " "))))


def broken(row: TextRow) -> tuple[TextRow, ...]:
    """The row in two lines, broken at the space nearest to its middle; nothing if it has no space.

    Examples
    --------
    >>> broken(TextRow("line", "other end: H31"))[0].lines
    ['other', 'end: H31']
    """
    spaces = [at for at, char in enumerate(row.text) if char == " "]
    if not spaces or row.bands:
        return ()
    at = min(spaces, key=lambda space: max(unit_width(row.text[:space]), unit_width(row.text[space + 1:])))
    return (replace(row, text=row.text[:at] + "\n" + row.text[at + 1:]),)


def _pieces(label: Label, kept: Wanted, room: Room, symbol: Symbol | None) -> Iterator[Piece]:
    """What is drawn, back to front."""
    if kept.post:
        yield from draw_up_post(kept.post, (PADDING_MM, PADDING_MM), kept.height_mm - 2 * PADDING_MM,
                                cap_mm=kept.post_cap_mm)
    yield from draw_rows(kept.rows, room.caps_mm, room.block)
    if symbol and kept.modules:
        yield SymbolMark(symbol, room.symbol_x_mm, room.symbol_y_mm, room.module_mm)
        side = kept.modules * room.module_mm
        yield Words(label.headline, room.symbol_x_mm + side + ASIDE_CAP_MM, room.symbol_y_mm + side / 2,
                    ASIDE_CAP_MM / CAP_HEIGHT, anchor="middle", turned=True)


def _left_out_warnings(label: Label, wanted: Wanted, texts: Sequence[str]) -> Iterator[Warned]:
    """One warning for each text without room, with a size that would do."""
    for text in texts:
        size = f"{wanted.width_mm:g} × {wanted.height_mm:g} mm"
        enough = _sufficient_mm(wanted)
        need = f"all of it fits from about {enough[0]:.0f} × {enough[1]:.0f} mm" if enough else \
            "on none of any size with dots this coarse: choose a finer printer"
        fate = "is printed smaller than can be read at arm's length" if text == label.headline else "is left out"
        yield Warned(label.title, text, f'"{text}" does not fit on a label of {size} and {fate}; {need}')


def _sufficient_mm(wanted: Wanted) -> tuple[float, float] | None:
    """Size of a label of the same proportions on which all of it fits, rounded up [mm]; None if there is none."""
    while find_room(what_fits(wanted)[0]) is None or what_fits(wanted)[1]:
        if max(wanted.width_mm, wanted.height_mm) > LARGEST_MM:
            return None
        wanted = replace(wanted, width_mm=wanted.width_mm * GROWTH, height_mm=wanted.height_mm * GROWTH)
    return math.ceil(wanted.width_mm), math.ceil(wanted.height_mm)


def strange_warnings(label: Label) -> Iterator[Warned]:
    """Texts with characters that the font does not have."""
    for text in (label.headline, label.band_letter, label.arrow, *label.lines, label.footnote):
        if missing := missing_characters(text):
            yield Warned(label.title, text, f'the font has no {" ".join(missing)}, needed for "{text}"; '
                                            f"choose other words in the design file")
