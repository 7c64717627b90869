"""The addresses of the workbench, as a table: what a page is called, which module answers, whether it marks or plans.

The modules are imported when one of their pages is first asked for, so that the first page does not wait for the
database.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Address:
    """One address: its method, path, the module and the name of its handler; ``marks``: one at a time."""

    method: str
    path: str
    module: str
    handler: str
    marks: bool = False


_CLASS = "/class/{room}"
_STUDENT = _CLASS + "/student/{student}"
_UNIT = _CLASS + "/plan/{unit}"
_LESSON = _UNIT + "/{lesson}"
_SITTING = _CLASS + "/mark/{sitting}"

ADDRESSES = (
    Address("GET", "/today", "today", "go"),
    Address("POST", "/demo", "today", "demo", marks=True),
    Address("GET", _CLASS + "/today", "today", "today", marks=True),
    Address("GET", _CLASS + "/opening", "today", "opening", marks=True),
    Address("POST", _CLASS + "/opening", "today", "give_baseline"),
    Address("GET", _CLASS + "/opening/{kind}.pdf", "today", "opening_pdf", marks=True),
    Address("GET", _CLASS + "/words", "today", "words", marks=True),
    Address("POST", _CLASS + "/words", "today", "words", marks=True),
    Address("POST", _CLASS + "/words/remove", "today", "remove_words"),
    Address("GET", "/class", "classes", "go"),
    Address("GET", "/class/new", "classes", "new"),
    Address("POST", "/class/new", "classes", "add"),
    Address("GET", _CLASS, "classes", "show", marks=True),
    Address("GET", _CLASS + "/students", "classes", "students"),
    Address("POST", _CLASS + "/students", "classes", "add_one"),
    Address("POST", _CLASS + "/students/list", "classes", "add_list"),
    Address("GET", _CLASS + "/{kind}.pdf", "classes", "labels"),
    Address("GET", _STUDENT, "classes", "student", marks=True),
    Address("POST", _STUDENT, "classes", "change", marks=True),
    Address("POST", _STUDENT + "/shown", "classes", "shown", marks=True),
    Address("GET", _STUDENT + "/erase", "classes", "ask"),
    Address("POST", _STUDENT + "/erase", "classes", "erase", marks=True),
    Address("GET", "/plan", "planning", "go"),
    Address("GET", _CLASS + "/plan", "planning", "units", marks=True),
    Address("GET", _CLASS + "/week.zip", "planning", "week", marks=True),
    Address("GET", _UNIT, "planning", "unit", marks=True),
    Address("POST", _UNIT, "planning", "make", marks=True),
    Address("GET", _UNIT + "/{kind}.pdf", "planning", "pdf", marks=True),
    Address("GET", _LESSON, "planning", "lesson", marks=True),
    Address("POST", _LESSON, "planning", "done"),
    Address("GET", _LESSON + "/{kind}.pdf", "planning", "pdf", marks=True),
    Address("POST", _LESSON + "/give", "marking", "give"),
    Address("GET", _SITTING, "marking", "grid", marks=True),
    Address("POST", _SITTING + "/cell", "marking", "save"),
    Address("POST", _SITTING + "/row", "marking", "row"),
    Address("GET", _SITTING + "/wrong", "marking", "wrong", marks=True),
    Address("POST", _SITTING + "/overrule", "marking", "overrule"),
    Address("POST", _SITTING + "/finish", "marking", "finish", marks=True),
    Address("GET", _SITTING + "/results", "marking", "results", marks=True),
    Address("POST", _SITTING + "/remove", "marking", "remove"),
    Address("GET", "/settings", "settings", "show"),
    Address("POST", "/settings/backup", "settings", "backup"),
    Address("POST", "/settings/restore", "settings", "restore", marks=True),
    Address("POST", "/settings/export/{what}", "settings", "export"),
    Address("POST", "/settings/arrive", "settings", "arrive"),
    Address("POST", "/settings/bring-in", "settings", "bring_in", marks=True),
    Address("GET", _CLASS + "/settings", "settings", "one"),
    Address("POST", _CLASS + "/settings", "settings", "one"),
    Address("GET", _CLASS + "/erase", "settings", "ask"),
    Address("POST", _CLASS + "/erase", "settings", "erase", marks=True),
)
