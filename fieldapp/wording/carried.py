"""What a part carried before it came into the kit, beside its ID, wherever somebody looks for the part by it."""

from fieldapp.base.words import _


def carries_words(marks: str) -> str:
    """That it carries them; empty where it carries none."""
    return _("carries: {marks}").format(marks=marks) if marks else ""


def beside(part_id: str, marks: str) -> str:
    """An ID in a list, with what the part carries.

    Examples
    --------
    >>> beside("SD-S001-K", "R3, red"), beside("SD-S001-K", "")
    ('SD-S001-K (R3, red)', 'SD-S001-K')
    """
    return f"{part_id} ({marks})" if marks else part_id
