"""Sentences that log, kit and reports keep in English, so that a page can tell them again in the reader's language.

Defects are folded from the log, differences and reasons are computed once for all phones; each phrase is one that
those rooms write. What people wrote in their own words stands in gaps named `words` and stays as it is.
"""

from fieldapp.base.words import Phrasebook, marked
from fieldapp.log.kinds import KINDS
from fieldapp.plan.phrases import PHRASES

_DEFECTS = (
    marked("arm {arm} snapped"), marked("arm {arm} cracked"), marked("arm {arm} loose"), marked("end {end} crushed"),
    marked("end {end} split"), marked("hole torn at arm {arm}"), marked("hole torn at end {end}"),
    marked("{what} (bad)"), marked("{what} (slight)"), marked("{what} (unsure)"),
    marked("{what} (bad): {words}"), marked("{what} (slight): {words}"), marked("{what} (unsure): {words}"),
    marked("came in wet"), marked("came in damaged"), marked("came in wet: {words}"),
    marked("came in damaged: {words}"),
    marked("failed: {item}"), marked("failed: {item}, arm {arm}"), marked("failed: {item}, end {end}"),
    marked("failed: {item}: {words}"), marked("failed: {item}, arm {arm}: {words}"),
    marked("failed: {item}, end {end}: {words}"))
_DIFFERENCES = (
    marked("hub"), marked("strut"), marked("arm"), marked("end"), marked("class {name}"),
    marked("a hub where a strut belongs"), marked("a strut where a hub belongs"), marked("{mm} mm too long"),
    marked("{mm} mm too short"), marked("mirror image of this hub"), marked("{has} arms where {needed} belong"),
    marked("arm {arm} points {deg}° elsewhere"), marked("takes a hub of class {name}"),
    marked("takes a strut of class {name}"), marked("is not in this frame"),
    marked("Fit it here and exchange the two, or bring it to its own place."))
_LIMITS = (
    marked("{low} to {high} mm"), marked("{low} to {high} %"), marked("at least {low} mm"), marked("at most {high} mm"),
    marked("at least {low} %"), marked("at most {high} %"))
_COUNTS = (
    marked("{n} hub of class {name}"), marked("{n} hubs of class {name}"), marked("{n} strut {name}"),
    marked("{n} struts {name}"), marked("{what} (left-handed)"), marked("{what} (right-handed)"))
_REASONS = (
    marked("{parts} lacking"), marked("Make them, or mend and release quarantined ones of these classes."),
    marked("step {step} does not stand, not even held"), marked("Choose another way of raising."),
    marked("the arm of {hub} on {strut} is asked {use} times what it can take at step {step}"),
    marked("the arm of {hub} on {strut} is asked {use} times what it can take at step {step}, {locked} of it locked in "
           "by lengths"),
    marked("{said}, and 1 more hub too much"), marked("{said}, and {n} more hubs too much"),
    marked("Replace these parts, dry them, or choose another way of raising."),
    marked("strut {strut} is asked {use} times what it can take at step {step}"),
    marked("Replace {part}, dry it, or choose another way of raising."),
    marked("{n} of {all} parts not inspected"), marked("{n} of {all} parts not inspected since they were last used"),
    marked("nothing is inspected"), marked("nothing is inspected since they were last used"),
    marked("Scan them in round \"{words}\"."), marked("Open an inspection round and scan every part."))
_BREAKS = (
    marked("No part has broken in the frame so far."),
    marked("{top} of 1 break in the frame lie in the quarter of places with the highest use: {verdict}."),
    marked("{top} of {all} breaks in the frame lie in the quarter of places with the highest use: {verdict}."),
    marked("the statics and the log agree"),
    marked("look for another cause than weight, pushes and wind: knocks, a bad sheet, damp, a wrong order"),
    marked("the frame without its lowest ring"), marked("the frame without its lowest {n} rings"),
    marked("{name} ({hubs} hubs, {struts} struts)"), marked("a new hub"), marked("a new strut"),
    marked("the {name} frame ({hubs} hubs, {struts} struts)"))

_QUOTED = (
    marked("{id} {act}"), marked("{act} ({said})"), marked("phone {name}"), marked("unknown"), marked("earlier"),
    marked("no reason given"), marked("pressed by mistake"),
    marked("start must be 1 to {last} (the labels of one sheet), got {given}"))
"""What a refusal quotes of other entries: what they say, when, and whose they are."""
_FIELDS = (
    marked("box"), marked("bundle"), marked("by"), marked("how"), marked("item"), marked("items"), marked("kind"),
    marked("name"), marked("part_class"), marked("reason"), marked("what"), marked("way"))
"""What a kind of entry may need besides; a refusal names what is missing."""
_CLASHES = (
    marked("{part} cannot sit at {place}"), marked("{place} already holds {part}"),
    marked("{part} already sits at {place}"), marked("{id} was not in the frame"), marked("{id} was not quarantined"),
    marked("{part} cannot be meant for {place}"), marked("{id} sits at {place}"), marked("{id} was made twice"),
    marked("raise {words} was running already"), marked("the strike had begun already"), marked("no raise was running"),
    marked("round {words} was open already"), marked("no round was open"),
    marked("no round was open in which box {words} could be taken"), marked("box {words} was not taken"),
    marked("this version knows no entry of kind {name}"), marked("{id} is not a part of this kit"),
    marked("the data of this {kind} entry cannot be read"))
"""Why an entry from another laptop has no effect."""

BOOK = Phrasebook((*PHRASES, *_DEFECTS, *_DIFFERENCES, *_LIMITS, *_COUNTS, *_REASONS, *_BREAKS, *_QUOTED, *_FIELDS,
                   *_CLASHES,
                   *(kind.words for kind in KINDS.values())))


def retold(text: str) -> str:
    """A sentence that was kept in English, in the language in use; what is no such sentence stays as it is."""
    return BOOK.retold(text)
