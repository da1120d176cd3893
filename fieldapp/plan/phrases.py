"""The sentences that a plan keeps in English, so that a page can tell them again in the reader's language.

A plan is computed once and read in several languages. Each phrase is one that `judge`, `reach`, `ways` or `compare`
writes; a test holds that every sentence of real plans is among them.
"""

from fieldapp.base.words import Phrasebook, marked

_AIDS = (marked("the ground"), marked("the step ladder"), marked("the platform"),
         marked("{aid}, feet at {height} m or higher"),
         marked("out of reach: needs a platform of {height} m or more"))
_PIECES = (marked("crown"), marked("ring by ring"), marked("crown first"), marked("crown set on last"),
           marked("wedge by wedge"), marked("own order"), marked("recommended"))
_CAUTIONS = (
    marked("It is computed to fold here, even while its holds are held."),
    marked("Arms are computed to break here: the arm of {hub} on {strut} at {weight} of its strength by the weight "
           "alone, {use} with the safety factor {factor}."),
    marked("It stands only while {hubs} is held: do not let go."),
    marked("It stands only while {hubs} are held: do not let go."),
    marked("Lift evenly: no carrier more than {mm} mm behind the others."),
    marked("Hold the free ends: no more than {force} sideways, {feels}."),
    marked("Do not lean on {hub}: no more than {force}, {feels}."),
    marked("{strut} goes in last: spread its hubs by {mm} mm."),
    marked("{strut} goes in last: spread its hubs by {mm} mm; the arms bear {limit} mm."),
    marked("{strut} goes in last, and its hubs may be spread by {limit} mm only, not by {mm} mm: leave the hub loose "
           "on its other struts until this one is on."))
_WEIGHTS = (marked("about the weight of {thing}"), marked("less than the weight of {thing}: do not lean on it at all"))
_VERDICTS = (
    marked("folds at step {step}, even while its holds are held"),
    marked("breaks: the arm of {hub} on {strut} at step {step}, {weight} of its strength, {use} with the factor "
           "{factor}"),
    marked("too few people: needs {needed}, there are {there}"),
    marked("out of reach: {hubs}"),
    marked("stands only while held, at {count} steps from step {step}"),
    marked("stands at every step; hold {count} at most"),
    marked("stands at every step; nothing to hold"),
    marked("raising.way is \"{way}\", but it {verdict}"))

PHRASES = (*_AIDS, *_PIECES, *_CAUTIONS, *_WEIGHTS, *_VERDICTS)
PHRASEBOOK = Phrasebook(PHRASES)


def retold(text: str) -> str:
    """A sentence of a plan in the language in use."""
    return PHRASEBOOK.retold(text)
