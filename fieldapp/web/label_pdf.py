"""The labels of one part as a PDF in memory, for the printer beside the laptop."""

import tempfile
from pathlib import Path

from fieldapp.kit.kit import Kit


def label_pdf(kit: Kit, part_id: str, start: int) -> bytes:
    """The label sheet of one part, or of one end of a strut.

    Raises
    ------
    PaperError
        If the sheet of the design has no label number `start`, or the labels do not fit it.
    """
    from fieldapp.prints.labels import write_labels  # brings in the PDF library, which pages do without

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "labels.pdf"
        write_labels(kit, path, part_ids=[part_id], start=start)
        return path.read_bytes()
