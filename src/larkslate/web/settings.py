"""Settings of the class, and the data folder: backup, restore, export, import, moving, erasing."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING

from larkslate.errors import LarkslateError, Malformed, Missing
from larkslate.school import backup, erase, roster, transfer
from larkslate.school import folder as places
from larkslate.web.rooms import away, file

if TYPE_CHECKING:
    from pathlib import Path

    from starlette.requests import Request
    from starlette.responses import Response

    from larkslate.web.forms import Form
    from larkslate.web.rooms import Rooms

ARRIVING = "arriving.part"  # an erasure clears files of this kind, should one be left behind


class Settings:
    """The handlers."""

    def __init__(self, rooms: Rooms) -> None:
        self.rooms = rooms

    def _show(
        self, *, error: str = "", done: str = "", arrival: transfer.Arrival | None = None
    ) -> Response:
        school = self.rooms.school
        return self.rooms.show(
            "settings.html",
            code=400 if error else 200,
            here="settings",
            classes=roster.classes(school),
            folder=school.folder,
            warnings=school.opened.warnings,
            backups=backup.backups(school),
            exports=erase.exports(school),
            purge=roster.purge_due(school),
            arrival=arrival,
            choices=transfer.Choice,
            error=error,
            done=done,
        )

    def show(self, _request: Request, _form: Form) -> Response:
        """Everything that can be set."""
        return self._show()

    def one(self, request: Request, form: Form) -> Response:
        """The settings of one class: shown, or stored."""
        room = self.rooms.classroom(request)
        error = ""
        if request.method == "POST":
            try:
                purge = form.day("purge", "Delete the data after")
                roster.change_class(
                    self.rooms.school,
                    room.id,
                    name=form.text("name"),
                    grade=form.text("grade"),
                    year=form.text("year"),
                    settings=replace(
                        room.settings,
                        writing=form.text("writing"),
                        letters_per_minute=form.number("speed", "Writing speed") or 0,
                        paper="a4" if form.text("paper") == "a4" else "us-letter",
                        purge=purge,
                    ),
                )
                return away("/settings")
            except LarkslateError as wrong:
                error = str(wrong)
        return self.rooms.show(
            "class_settings.html",
            code=400 if error else 200,
            here="settings",
            room=room,
            error=error,
            today=self.rooms.school.today(),
        )

    # ---- the data folder --------------------------------------------------------------------

    def backup(self, _request: Request, _form: Form) -> Response:
        """A backup now."""
        try:
            path = backup.make(self.rooms.school)
        except LarkslateError as error:
            return self._show(error=str(error))
        return self._show(done=f"The backup {path.name} was made and passed its check.")

    def restore(self, _request: Request, form: Form) -> Response:
        """Put a backup in the place of the data, after keeping what is there."""
        school = self.rooms.school
        try:
            chosen = self._backup(form.text("backup"))
            before = backup.restore(school, chosen)
            self.rooms.ledger.forget()
        except LarkslateError as error:
            return self._show(error=str(error))
        return self._show(
            done=f"{chosen.name} was restored. What was there before is kept as {before.name}."
        )

    def _backup(self, name: str) -> Path:
        for one in backup.backups(self.rooms.school):
            if one.path.name == name:
                return one.path
        raise Missing("There is no such backup: choose one from the list.")

    def export(self, request: Request, _form: Form) -> Response:
        """Everything as one file, kept in the folder too so that erasing can find it."""
        school = self.rooms.school
        if request.path_params["what"] == "everything":
            path = transfer.export_all(school)
        elif request.path_params["what"] == "move":
            path = transfer.move_out(school)
        else:
            raise Missing("There is no such export: go back to the settings.")
        return file(path.read_bytes(), path.name, "application/zip")

    def arrive(self, _request: Request, form: Form) -> Response:
        """A file from another machine: what it would bring, and the choices it needs."""
        school = self.rooms.school
        path = school.folder / places.EXPORTS / ARRIVING
        try:
            if not form.files.get("file"):
                raise Malformed("No file was chosen: choose the file that the other machine made.")
            path.write_bytes(form.files["file"])
            return self._show(arrival=transfer.look(school, path))
        except (LarkslateError, OSError) as error:
            with suppress(OSError):
                path.unlink(missing_ok=True)
            return self._show(error=str(error))

    def bring_in(self, _request: Request, form: Form) -> Response:
        """Do what was shown."""
        school = self.rooms.school
        path = school.folder / places.EXPORTS / ARRIVING
        try:
            if form.text("step") == "leave":
                return away("/settings")
            chosen = {
                name.removeprefix("class-"): transfer.Choice(value)
                for name, value in form.fields.items()
                if name.startswith("class-") and value in list(transfer.Choice)
            }
            came = transfer.bring_in(school, path, chosen)
            self.rooms.ledger.forget()
            return self._show(done=" ".join(one.says for one in came) or "The file was empty.")
        except LarkslateError as error:
            return self._show(error=str(error))
        finally:
            with suppress(OSError):
                path.unlink(missing_ok=True)

    # ---- erasing ----------------------------------------------------------------------------

    def ask(self, request: Request, _form: Form) -> Response:
        """What erasing a class takes away, and what is out of reach."""
        room = self.rooms.classroom(request)
        ids = {s.id for s in roster.students(self.rooms.school, room.id, everyone=True)}
        held = [e for e in erase.exports(self.rooms.school) if ids & set(e.students)]
        return self.rooms.show("erase.html", here="settings", room=room, one=None, exports=held)

    def erase(self, request: Request, _form: Form) -> Response:
        """Erase a class for good."""
        done = erase.classroom(self.rooms.school, self.rooms.classroom(request).id)
        self.rooms.ledger.forget()
        return self.rooms.show("erased.html", here="settings", done=done)


Handlers = Settings
