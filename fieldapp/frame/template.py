"""Writing `design.toml`: every key under the question that it answers."""

import json
import textwrap
from collections.abc import Iterator

from pydantic.fields import FieldInfo

from fieldapp.frame.design import Design, FrameSection, HubSection, RaisingSection
from fieldapp.frame.design_file import SECTIONS, allowed_words
from fieldapp.frame.questions import DesignSection
from fieldapp.frame.struts import NamedStrut, StrutSection

STARTER = Design(
    frame=FrameSection(frequency=2, cut="1/2", diameter_m=3.6),
    strut=StrutSection(section="rod", material="C24", outer_mm=22.0, kerf_mm=2.0, length_error_mm=1.5),
    hub=HubSection(joint="flat arm", material="EN AW-6060 T66", reach_mm=120.0, ply_mm=3.0, arm_depth_mm=84.0,
                   mass_kg=0.36, angle_error_deg=0.5),
    raising=RaisingSection(crown_carriers=4, insertion_depth_mm=20.0),
)
"""What `raisebook new` writes: a first frame that anyone raises from the ground, of timber rods on hubs of sheet
aluminium.

Everything is within reach of the ground, and rods are slender and arms thin and wide, so that slots leave enough of the
rods, and parts made with a hand saw and a jig (± 1.5 mm, ± 0.5°: common practice, no source) lock less than a fifth
into the worst arm, whether each errs by itself or the stop of the saw or the jig is wrong for all of a class.
Source: our choice. Test: tests/kit/test_first_frame.py
"""

HEADINGS = {
    "frame": "The shape",
    "drawing": "A frame from a file: how to read it",
    "vault": "A barrel vault: its size",
    "strut": "What the struts are made of",
    "hub": "How hubs hold their struts",
    "strength": "What is known of what they bear",
    "spares": "Parts made for no place",
    "crew": "Who raises it, and with what",
    "raising": "How it is raised",
    "ground": "What it stands on, and what holds its feet",
    "labels": "The labels, measured in mm",
    "site": "What phones find on site",
}

SECTIONS_HINT = (
    "# Does frame.file name more than one section (column \"section\" of a table, layers of a drawing)? Then write a",
    "# table for each of the others by its name there, such as [struts.\"pole 48\"], with section, material, outer_mm,",
    "# wall_mm and what else stands above; stock_mm, kerf_mm and length_error_mm are those above where you leave them",
    "# out, and pull_test_n is its own. Lines of no section, or of the one without a table, are as above.",
)
OPENING = """\
# The design of one frame. Answer the questions, save, then run: raisebook make
# A line that begins with # is not read. To give an answer that is still hidden, take its # away.
# Limits and orders computed from these answers are a guide for planning. They do not replace a competent
# person, local rules, the makers' instructions, or a licensed engineer where the frame is open to the public."""


def design_text(design: Design, *, comments: bool = True) -> str:
    """The text of a design file that reads back as `design`.

    Parameters
    ----------
    design : Design
        One that keeps all rules of `frame.design_rules`.
    comments : bool
        Whether to write the questions, and the keys that have no answer.
    """
    lines = [OPENING] if comments else []
    for name in SECTIONS:
        section = getattr(design, name)
        lines += ["", f"# {HEADINGS[name]}"] if comments else [""]
        lines += [f"[{name}]", *_section_lines(name, section, comments=comments)]
        if name == "strut":
            lines += _named_struts(design.struts, comments=comments)
    return "\n".join(lines).strip() + "\n"


def _section_lines(name: str, section: DesignSection, *, comments: bool) -> Iterator[str]:
    """The keys of one section."""
    for key, info in type(section).model_fields.items():
        value = getattr(section, key)
        hidden = value is None or value == ()
        if comments:
            yield from ("", *_question(f"{name}.{key}", info))
            yield f"# {key} = {_toml(_example(info))}" if hidden else f"{key} = {_toml(value)}"
        elif not hidden:
            yield f"{key} = {_toml(value)}"


def _named_struts(of: tuple[NamedStrut, ...], *, comments: bool) -> Iterator[str]:
    """The sections that a file names, each with its answers; without any, how one is written."""
    if comments:
        yield from ("", *SECTIONS_HINT)
    for each in of:
        yield from ("", f"[struts.{json.dumps(each.name, ensure_ascii=False)}]")
        for key in type(each).model_fields:
            value = getattr(each, key)
            if key != "name" and value is not None and value != ():
                yield f"{key} = {_toml(value)}"


def _question(key: str, info: FieldInfo) -> list[str]:
    """The question and what is allowed, as comment lines."""
    text = f"{info.description} ({allowed_words(key, info)})"
    return textwrap.wrap(text, 110, initial_indent="# ", subsequent_indent="# ")


def _example(info: FieldInfo) -> object:
    """A value to show where there is no answer."""
    return info.examples[0] if info.examples else ""


def _toml(value: object) -> str:
    """A value as TOML writes it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, tuple | list):
        return f"[{', '.join(_toml(item) for item in value)}]"
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return repr(value)
