"""The lines at the head of pages and sheets where the way of raising is computed to break, or may be."""

from fieldapp.base.said import in_words
from fieldapp.base.words import _
from fieldapp.frame.design import Design
from fieldapp.plan.plan import Plan


def breaking_line(plan: Plan | None, design: Design) -> str:
    """That the way breaks, and that the design accepts it, or what would help; empty where nothing breaks.

    Examples
    --------
    >>> from fieldapp.base.said import say
    >>> from fieldapp.frame.template import STARTER
    >>> folds = Plan("ring by ring", (), {}, breaks=say("folds at step 3"), helps=say("stiffer joints"))
    >>> breaking_line(folds, STARTER)
    'Warning: this way folds at step 3. Do not raise it so. What would help: stiffer joints.'
    >>> breaking_line(Plan("ring by ring", (), {}), STARTER)
    ''
    """
    if plan is None or plan.breaks is None or plan.helps is None:
        return ""
    verdict = in_words(plan.breaks)
    if design.raising.accept_breaking:
        return _("Warning: this way {verdict}. Accepted by the design.").format(verdict=verdict)
    return _("Warning: this way {verdict}. Do not raise it so. What would help: {helps}.").format(
        verdict=verdict, helps=in_words(plan.helps))


def accepted_line(design: Design) -> str:
    """For sheets that know no plan: that the design accepts a way that breaks; empty where it does not."""
    if not design.raising.accept_breaking:
        return ""
    return _("Warning: the design accepts a way of raising that is computed to break: read the head of the booklet.")
