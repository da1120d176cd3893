"""The same design gives the same bytes in every file that `raisebook make` writes, in whatever order a set runs."""

import os
import shutil
import subprocess
import sys

import pytest
from small_frame import SPARES, tiny_design

from fieldapp.frame.design import RaisingSection
from fieldapp.frame.template import design_text
from fieldapp.kit.site_key import KEY_FILE, site_key

MAKE = "from fieldapp.cli import main; main()"


def _files(folder):
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.thorough
def test_two_processes_write_the_same_bytes(tmp_path):
    design = tiny_design(spares=SPARES, raising=RaisingSection(way="crown set on last"))
    folders = [tmp_path / name for name in ("one", "two")]
    for folder in folders:
        folder.mkdir()
        (folder / "design.toml").write_text(design_text(design), encoding="utf-8")
    site_key(folders[0])
    shutil.copy(folders[0] / KEY_FILE, folders[1])       # the join code is the folder's own, drawn once
    running = [subprocess.Popen([sys.executable, "-c", MAKE, "make", str(folder)], stdout=subprocess.DEVNULL,
                                stderr=subprocess.PIPE, env={**os.environ, "PYTHONHASHSEED": seed})
               for folder, seed in zip(folders, ("1", "4"), strict=True)]
    for process in running:
        _, said = process.communicate(timeout=120)
        assert process.returncode == 0, said.decode()
    one, two = map(_files, folders)
    assert {"kit.json", "paper/booklet.pdf", "workshop/hub-2.dxf", "tables/struts.csv"} <= one.keys()
    assert [name for name in one | two if one.get(name) != two.get(name)] == []
