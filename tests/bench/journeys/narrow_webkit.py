#!/usr/bin/python3
"""A bare WebKitGTK window as narrow as a phone, for WebDriver: the browser that comes with it does not get so narrow.

Run by the driver, with the Python of the system, which has the bindings (Debian: gir1.2-webkit2-4.1, python3-gi).
"""

import gi

gi.require_version("Gtk", "3.0")
gi.require_version("WebKit2", "4.1")
from gi.repository import Gtk, WebKit2  # noqa: E402

WIDTH_PX, HEIGHT_PX = 375, 667
context, window = WebKit2.WebContext.get_default(), Gtk.Window()


def view(_session):
    """The one page of the window."""
    made = WebKit2.WebView(web_context=context, is_controlled_by_automation=True)
    window.add(made)
    window.show_all()
    return made


def started(_context, session):
    """The driver has connected; it knows only one browser by name."""
    info = WebKit2.ApplicationInfo()
    info.set_name("MiniBrowser")
    session.set_application_info(info)
    session.connect("create-web-view", view)


window.set_default_size(WIDTH_PX, HEIGHT_PX)
window.connect("destroy", Gtk.main_quit)
context.set_automation_allowed(True)
context.connect("automation-started", started)
Gtk.main()
