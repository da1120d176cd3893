"""Fifty kits with a long history each, on a database server of their own: what the bench of the yard looks at."""

import subprocess
import sys
import time
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import product
from string import ascii_uppercase

import sqlalchemy as sa

from fieldapp.frame.design import Design
from fieldapp.kit import build_kit
from fieldapp.kit.file import write_kit
from fieldapp.log import tables
from fieldapp.log.chain import ChainEnd, head_after, linked
from fieldapp.log.entry import Entry
from fieldapp.log.laptop import this_laptop
from fieldapp.log.lines import as_row
from fieldapp.log.rows import meet
from fieldapp.log.shared.connecting import engine_for
from fieldapp.log.shared.tables import counter, prepare, schema_of
from fieldapp.plan.kept import keep_plan
from fieldapp.plan.order import level_order

MORNING = datetime(2026, 5, 1, 8, 0, tzinfo=UTC)
PREFIXES = ["".join(pair) for pair in product("ABCDE", ascii_uppercase[:10])]
SPARES = {"hubs_most_common": 8, "hubs_each_other": 6, "struts_each": 40}
"""With these a kit has 200 parts or so."""


def design_of(prefix):
    return Design.model_validate({
        "frame": {"name": f"Dome {prefix}", "prefix": prefix, "frequency": 2, "cut": "1/2", "diameter_m": 5.0},
        "strut": {"section": "rod", "material": "C24", "outer_mm": 32.0}, "spares": SPARES})


def history(kit, laptop, count):
    """So many entries as a laptop's chain: parts split and mended, in turn."""
    head = ChainEnd(laptop.known.id)
    struts, told = [part.id for part in kit.parts if part.kind == "strut"], ""
    for number in range(count):
        at = MORNING + timedelta(seconds=30 * number)
        mend = number % 2 == 1
        data = {"how": "scarf", "by": "", "end": None, "arm": None, "capacity": 1.0} if mend else \
            {"what": "split", "severity": "slight", "words": "along the grain"}
        entry = Entry(f"entry {number}", "repaired" if mend else "damaged", struts[number // 2 % len(struts)], None, "",
                      at, data=data, sender=f"phone {number % 9}", order_ms=round(at.timestamp() * 1000),
                      answers=(told,) if mend else ())
        told = entry.key
        kept = replace(linked(entry, laptop, head), number=number + 1)
        head = head_after(kept)
        yield kept


def fill(server, database, kit, laptop, count):
    """Put a history there as its owner, without asking the guards entry by entry."""
    engine = engine_for(server.address(database=database), schema_of(kit))
    rows = [{**as_row(entry), "number": entry.number, "imported": 0} for entry in history(kit, laptop, count)]
    with engine.begin() as owner:
        owner.execute(sa.text("SET LOCAL statement_timeout = 0"))
        prepare(owner, kit, role="site")
        meet(owner, (laptop.known,))
        owner.execute(sa.text("ALTER TABLE entries DISABLE TRIGGER USER"))
        owner.execute(sa.text("ALTER TABLE counter DISABLE TRIGGER USER"))
        if rows:
            owner.execute(sa.insert(tables.entries), rows)
        owner.execute(sa.update(counter).values(last=count))
        owner.execute(sa.text("ALTER TABLE entries ENABLE TRIGGER USER"))
        owner.execute(sa.text("ALTER TABLE counter ENABLE TRIGGER USER"))
    engine.dispose()


def kit_in(folder, prefix):
    """A kit's folder with a plan, made in no time."""
    kit = build_kit(design_of(prefix))
    write_kit(folder, kit)
    keep_plan(folder, kit.design, level_order(kit.frame, kit.design))
    return kit


def filled(server, folder, prefixes, count):
    """Name of a database with a history for each kit; their folders lie in `folder`."""
    database = server.database()
    for prefix in prefixes:
        kit = kit_in(folder / prefix, prefix)
        fill(server, database, kit, this_laptop(folder / "other" / "log.sqlite"), count)
    return database


class Laptop:
    """`raisebook yard` in a process of its own."""

    def __init__(self, folder, address, port):
        self.port, self.said = port, folder / "said.txt"
        words = ["yard", str(folder), "--store", address, "--port", str(port), "--host", "127.0.0.1", "--no-browser"]
        with self.said.open("w") as said:
            self.process = subprocess.Popen([sys.executable, "-c", "from fieldapp.cli import main; main()", *words],
                                            stdout=said, stderr=subprocess.STDOUT)

    def opened(self, within_s=300.0):
        """The address that lets a browser of this machine in, once it serves."""
        end = time.monotonic() + within_s
        while time.monotonic() < end:
            assert self.process.poll() is None, self.said.read_text()
            for line in self.said.read_text().splitlines():
                if "once: http" in line:
                    return line.split("once: ")[1].split()[0]
            time.sleep(0.1)
        raise AssertionError(self.said.read_text())

    def stop(self):
        self.process.terminate()
        self.process.wait(30)
