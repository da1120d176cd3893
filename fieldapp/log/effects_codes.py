"""What entries about a code and about a measured number do to the state: the part has them from then on."""

from fieldapp.base.said import Said
from fieldapp.log.codes import code_key
from fieldapp.log.draft import Draft
from fieldapp.log.entry import Entry
from fieldapp.log.kinds_codes import CodeKeptData, MeasuredData


def code_kept(draft: Draft, entry: Entry, data: CodeKeptData) -> Said | None:
    """Two laptops may have kept it: once is enough. Two parts with one code is no clash: whoever scans it is asked."""
    part = str(entry.part)
    codes = draft.parts[part].codes
    if code_key(data.code) not in {code_key(code) for code in codes}:
        draft.change(part, codes=(*codes, data.code))
    return None


def measured(draft: Draft, entry: Entry, data: MeasuredData) -> Said | None:
    """The number counts until the next one; no inspection is done by it."""
    part = str(entry.part)
    others = tuple(old for old in draft.parts[part].measured if old[0] != data.item)
    draft.change(part, measured=(*others, (data.item, data.value, data.unit)))
    return None
