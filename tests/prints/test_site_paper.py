"""Booklet and posters as `make` writes them."""

import pypdf
import pytest
from small_frame import small_design

from fieldapp.kit import build_kit
from fieldapp.plan import erection_plan
from fieldapp.plan.case import case_of
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.prints.folder import lowest_wind_m_s, write_site_paper


@pytest.fixture(scope="module")
def kit():
    design = small_design()
    return build_kit(design.model_copy(update={"frame": design.frame.model_copy(update={"name": "果樹園"})}))


def test_all_of_it_in_one_folder_and_each_trouble_said_once(kit, tmp_path):
    said = []
    (warning,) = write_site_paper(kit, tmp_path / "paper", said.append)
    assert warning.label == "frame.name"
    assert {path.name for path in (tmp_path / "paper").iterdir()} == {
        "booklet.pdf", "booklet-to-fold.pdf", "join.pdf", "rules.pdf", "rings.pdf", "pocket.html"}
    assert said == ["booklet.pdf", "booklet-to-fold.pdf", "posters", "pocket copy"]
    pages, sides = (len(pypdf.PdfReader(tmp_path / "paper" / name).pages) for name in
                    ("booklet.pdf", "booklet-to-fold.pdf"))
    assert pages == 2 * sides


def test_the_wind_limit_is_that_of_the_weakest_stage(kit):
    plan = erection_plan(kit)
    case = case_of(kit)
    complete = analysis(case, fitted_after(plan, len(plan.steps))).wind.speed_m_s
    assert 0.0 < lowest_wind_m_s(kit) <= complete
