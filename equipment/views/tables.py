"""Uses from a file, and gear as a file."""

from __future__ import annotations

import csv
import re
import secrets
import time
from collections.abc import Iterable, Iterator
from pathlib import Path

from django.conf import settings
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from equipment.actions.import_use import COLUMNS, NEEDED, import_use, look_through
from equipment.forms.use import ImportForm
from equipment.queries.export import gear_rows, use_rows
from equipment.views.shape import bound, form_page, lead_on, turned_down

MOST_BYTES = 20 * 1024 * 1024
_SHOWN_PROBLEMS = 200
_KEPT_S = 24 * 3600
_TOKEN = re.compile(r"^[0-9a-f]{32}$")


@require_http_methods(["GET", "POST"])
@permission_required("equipment.add_useentry", raise_exception=True)
def use_import(request: HttpRequest) -> HttpResponse:
    """Look through a file first: what it would do, and everything wrong with it, row by row."""
    form = bound(request, ImportForm)
    preview = token = None
    if form.is_valid():
        sent = form.cleaned_data["file"]
        if sent.size > MOST_BYTES:
            form.add_error("file", "The file has more than 20 MB; send it in parts.")
        else:
            token = _keep(sent)
            preview = look_through(path=_place(token))
            if preview.problems:
                _place(token).unlink(missing_ok=True)
    more = {
        "preview": preview,
        "problems": preview.problems[:_SHOWN_PROBLEMS] if preview else [],
        "token": token,
        "columns": COLUMNS,
        "needed": NEEDED,
    }
    if preview is not None and preview.problems:
        page = {"title": "Uses from a file", "form": form, "back": reverse("gear"), **more}
        return render(request, "equipment/use_import.html", page, status=422)
    return form_page(
        request,
        form,
        title="Uses from a file",
        back=reverse("gear"),
        template="equipment/use_import.html",
        **more,
    )


@require_POST
@permission_required("equipment.add_useentry", raise_exception=True)
def use_import_enter(request: HttpRequest) -> HttpResponse:
    """Enter a file that was looked through; sent twice it is entered once."""
    token = request.POST.get("token", "")
    if not _TOKEN.match(token) or not _place(token).is_file():
        said = "That file has been entered already, or a day has passed: send it again."
        return turned_down(request, reverse("use_import"), ValidationError(said))
    try:
        done = import_use(path=_place(token), by=request.user)
    except ValidationError as error:
        return turned_down(request, reverse("use_import"), error)
    _place(token).unlink(missing_ok=True)
    known = f"; {done.known} were in the log before" if done.known else ""
    return lead_on(request, reverse("gear"), f"{done.new} uses are entered{known}.")


def _folder() -> Path:
    folder = Path(settings.MEDIA_ROOT) / "imports"
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder


def _place(token: str) -> Path:
    return _folder() / f"{token}.csv"


def _keep(sent: UploadedFile) -> str:
    """Put a file aside until it is entered; what was put aside a day ago is thrown away."""
    for old in _folder().glob("*.csv"):
        if time.time() - old.stat().st_mtime > _KEPT_S:
            old.unlink(missing_ok=True)
    token = secrets.token_hex(16)
    with _place(token).open("wb") as stream:
        for part in sent.chunks():
            stream.write(part)
    return token


class _Echo:
    """Gives back each line the writer writes, so that a table of any length is streamed."""

    def write(self, line: str) -> str:
        return line


def _table(name: str, rows: Iterable[list[str]]) -> StreamingHttpResponse:
    writer = csv.writer(_Echo())

    def lines() -> Iterator[str]:
        yield "\ufeff"  # spreadsheets then read it as UTF-8
        for row in rows:
            yield writer.writerow(row)

    return StreamingHttpResponse(
        lines(),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


@require_safe
@permission_required("equipment.view_thing", raise_exception=True)
def gear_csv(request: HttpRequest) -> StreamingHttpResponse:
    today = timezone.localdate()
    return _table(f"gear-{today}.csv", gear_rows(on=today))


@require_safe
@permission_required("equipment.view_useentry", raise_exception=True)
def use_csv(request: HttpRequest) -> StreamingHttpResponse:
    return _table(f"use-log-{timezone.localdate()}.csv", use_rows())
