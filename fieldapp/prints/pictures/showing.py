"""What a picture is to show: which places are filled, which one it is about, what goes in now."""

from dataclasses import dataclass

from labels.drawing import Role


@dataclass(frozen=True, slots=True)
class Showing:
    """The states of places (hubs and struts alike) in a picture."""

    standing: frozenset[str] = frozenset()
    """Filled places."""
    this: str | None = None
    """The place in question: bold, marked and labelled."""
    new: frozenset[str] = frozenset()
    """Places filled by the step shown."""
    damaged: frozenset[str] = frozenset()
    hold: frozenset[str] = frozenset()
    """Hub places that somebody or a prop must hold."""
    left_out: frozenset[str] = frozenset()
    """Places that are not filled in this frame (a doorway): not drawn."""
    labels: tuple[str, ...] = ()
    """Further places to label if there is room, most important first."""

    def is_seen(self, place: str) -> bool:
        """False for a place that is left out, unless the picture is about it."""
        return place not in self.left_out or place == self.this

    def role(self, place: str) -> Role:
        """How a place is drawn; the most urgent state wins."""
        if place == self.this:
            return "this"
        if place in self.damaged:
            return "damaged"
        if place in self.new:
            return "new"
        return "standing" if place in self.standing else "later"
