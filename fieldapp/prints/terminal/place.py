"""One place as text for a terminal: where it is in words, and the frame view turned toward it."""

from fieldapp.kit.kit import Kit
from fieldapp.prints.pictures.pictures import Showing, frame_view
from fieldapp.wording.place import end_goes, hub_where, sentence
from labels.terminal import terminal_lines


def place_text(kit: Kit, place: str, standing: frozenset[str], *, columns: int = 72) -> tuple[str, ...]:
    """Words first, then the picture.

    Parameters
    ----------
    kit : Kit
    place : str
        A hub or strut place.
    standing : frozenset of str
        Places that are filled.
    columns : int, optional
        Width of the picture in characters.
    """
    picture = terminal_lines(frame_view(kit.frame, Showing(standing=standing, this=place)), columns=columns)
    return (*_words(kit, place), *"\n".join(["", *picture]).rstrip().split("\n"))


def _words(kit: Kit, place: str) -> tuple[str, ...]:
    frame, how = kit.frame, kit.design.hub.held_by.assembly
    if place in frame.hub_index:
        return (f"Goes to {place}", sentence(hub_where(frame, frame.hub(place))))
    strut = frame.strut(place)
    return tuple(f"{end_goes(frame, strut, end, how)}, {hub_where(frame, frame.hub(strut.end(end).hub))}"
                 for end in (1, 2))
