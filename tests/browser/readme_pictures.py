"""Makes the pictures of README.md from the demo kit.

    .venv/bin/python tests/browser/readme_pictures.py

Needs Chromium (on the path, or its path in CHROMIUM). Writes into tests/browser/pictures/.
"""

import os
import shutil
import tempfile
import threading
from datetime import UTC, datetime
from pathlib import Path

import pypdfium2
from at_the_laptop import at_the_laptop
from playwright.sync_api import sync_playwright

from fieldapp.demo import write_demo
from fieldapp.log.entry import Request
from fieldapp.log.opening import open_book
from fieldapp.web.server import create_app
from fieldapp.web.server.serve import open_server

PICTURES = Path(__file__).parent / "pictures"
PHONE = {"width": 360, "height": 740}
STEPS_FITTED = 24


def fit_first_steps(book, count):
    """Fit hubs and struts of the first steps, as a crew would."""
    for step in book.site.plan.steps[:count]:
        for place in (step.hub, *(insertion.strut for insertion in step.struts)):
            part = book.state.allocation[place]
            book.submit(Request(f"picture-{place}", "fitted", part, place, "crew 1"), datetime.now(UTC))


def part_page(folder, target):
    """The part page of a strut that may go in now, on a phone."""
    with open_book(folder) as book:
        fit_first_steps(book, STEPS_FITTED)
        following = book.site.plan.steps[STEPS_FITTED].hub
        server = open_server(at_the_laptop(create_app(book)), 0, host="127.0.0.1")
        threading.Thread(target=server.run, daemon=True).start()
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path=os.environ.get("CHROMIUM") or shutil.which("chromium"),
                args=["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"])
            page = browser.new_page(viewport=PHONE, device_scale_factor=2)
            page.goto(f"http://127.0.0.1:{server.effective_port}/P/{book.state.allocation[following]}")
            page.screenshot(path=target)
            browser.close()
        server.close()


def label_sheet(folder, target):
    """The first sheet of labels."""
    page = pypdfium2.PdfDocument(folder / "paper" / "labels.pdf")[0]
    page.render(scale=1.6).to_pil().convert("L").save(target, optimize=True)


def main():
    """Both pictures, from a fresh demo kit."""
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "orchard-hall"
        write_demo(folder, past=False)
        label_sheet(folder, PICTURES / "label-sheet.png")
        part_page(folder, PICTURES / "part-page.png")


if __name__ == "__main__":
    main()
