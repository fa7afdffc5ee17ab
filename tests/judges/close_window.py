"""Asks the window whose id is given, on the display given, to close, as a window manager does (ICCCM, WM_DELETE_WINDOW)."""

import sys

from Xlib import X, display
from Xlib.protocol import event

screen = display.Display(sys.argv[2])
window = screen.create_resource_object("window", int(sys.argv[1]))
protocols, delete = screen.intern_atom("WM_PROTOCOLS"), screen.intern_atom("WM_DELETE_WINDOW")
window.send_event(event.ClientMessage(window=window, client_type=protocols, data=(32, [delete, X.CurrentTime, 0, 0, 0])))
screen.flush()
print("{}")
