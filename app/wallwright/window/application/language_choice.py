"""Language and number format of the window: the person's choice, else the system's."""

from __future__ import annotations

import os
import sys

from PySide6.QtCore import QCoreApplication, QLibraryInfo, QLocale, QTranslator

from wallwright.document.language import DECIMAL_SIGNS, Language, best_match, from_environment, set_language
from wallwright.document.resources import resource
from wallwright.window.model.settings import chosen_language


def wanted_language() -> Language:
    """Returns the environment's language, else the person's, else the system's, with the system's decimal sign if that
    belongs to the same language."""
    system = QLocale.system()
    code = from_environment() or chosen_language() or best_match(system.uiLanguages())
    return Language(code, system.decimalPoint() if _writes_as(system, code) else DECIMAL_SIGNS[code])


def apply_language(application: QCoreApplication) -> Language:
    """Applies the wanted language to our texts and Qt's; existing windows keep theirs."""
    language = wanted_language()
    set_language(language)
    QLocale.setDefault(_locale(language.code))
    for old in application.findChildren(QTranslator):
        application.removeTranslator(old)
        old.deleteLater()
    folder = QLibraryInfo.path(QLibraryInfo.LibraryPath.TranslationsPath)
    _install(application, f"qtbase_{language.code}", folder)
    # Replaces Qt's key names that do not match the language's keyboards.
    _install(application, f"keys_{language.code}", str(resource("languages")))
    return language


def _install(application: QCoreApplication, name: str, folder: str) -> None:
    translator = QTranslator(application)
    if translator.load(name, folder):
        application.installTranslator(translator)


def _locale(code: str) -> QLocale:
    """Returns the locale for dates: the system's if it has the language, else a European one, for people who use mm."""
    system = QLocale.system()
    if _writes_as(system, code):
        return system
    return QLocale(QLocale.Language.English, QLocale.Country.Europe) if code == "en" else QLocale(code)


def _writes_as(system: QLocale, code: str) -> bool:
    """Whether the system locale defines a language's number and date format. On Linux, LANGUAGE alone may set the language
    while the rest is in the C locale (POSIX.1-2017, XBD 8.2), whose formats belong to no language."""
    if system.language() == QLocale.Language.C or best_match([system.name()]) != code:
        return False
    if sys.platform != "linux":
        return True
    name = os.environ.get("LC_ALL") or os.environ.get("LC_NUMERIC") or os.environ.get("LANG") or "C"
    return name.split(".")[0] not in ("C", "POSIX")
