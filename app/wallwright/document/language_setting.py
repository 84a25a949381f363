"""Choice of a process's language: the environment's, else the person's setting, else the system's.

The window stores the setting with Qt in an INI file. It is read here without Qt, so that commands use the same language.
A damaged or unknown setting is skipped.
"""

from __future__ import annotations

import ctypes
import locale
import os
import sys
from pathlib import Path

from wallwright.document.language import DECIMAL_SIGNS, LANGUAGES, Language, best_match, from_environment
from wallwright.document.log import state_folder

LANGUAGE = "language"
"""Key of the setting."""
_SECTION = "General"
"""Section of keys without a group (QSettings, "Section and Key Syntax" of the INI format)."""


def settings_file() -> Path:
    """Returns the path of the person's settings, an INI file."""
    return state_folder() / "settings.ini"


def stored_language() -> str:
    """Returns the code of the chosen language, or "" where none can be read."""
    import configparser  # only commands need it

    parser = configparser.RawConfigParser(strict=False, allow_no_value=True)
    try:
        parser.read_string(settings_file().read_bytes().decode("utf-8", "replace"))
        code = parser.get(_SECTION, LANGUAGE, fallback="") or ""
    except (OSError, ValueError, configparser.Error):
        return ""
    return code if code in LANGUAGES else ""


def system_languages() -> list[str]:
    """Returns the system's locale names in order of preference.

    Outside Windows they come from the environment: LANGUAGE, a list, takes precedence over the locale, unless that is "C"
    (GNU gettext manual, "The LANGUAGE variable").
    """
    if sys.platform == "win32":
        return [locale.windows_locale.get(ctypes.windll.kernel32.GetUserDefaultUILanguage(), "")]
    name = next((v for n in ("LC_ALL", "LC_MESSAGES", "LANG") if (v := os.environ.get(n))), "C")
    if name.partition(".")[0] in ("C", "POSIX"):
        return []
    return [*filter(None, os.environ.get("LANGUAGE", "").split(":")), name]


def wanted_language() -> Language:
    """Returns the language of a process without a window, with its usual decimal sign."""
    code = from_environment() or stored_language() or best_match(system_languages())
    return Language(code, DECIMAL_SIGNS[code])
