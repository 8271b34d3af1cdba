"""Where the browser for the tests is; None lets the driver take its own."""

from __future__ import annotations

import shutil

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
