"""What an error report may hold: the lines of code, never what a person typed or we hold of them.

A report goes by mail or onto a screen, outside the keys, the locks and the retention of the tables.
Views that take health words, birth dates, signatures or secrets are marked with Django's
`sensitive_post_parameters`; a mark counts on a machine with DEBUG as well. Elsewhere reports are
closed unless DEBUG is on.
"""

from __future__ import annotations

from collections.abc import ItemsView
from types import FrameType
from typing import Any

from django.db import DatabaseError
from django.http import HttpRequest, QueryDict
from django.views.debug import ExceptionReporter, SafeExceptionReporterFilter

_HIDDEN = "(not shown: this page takes what is a person's own)"


def _marked(request: HttpRequest | None) -> bool:
    return bool(getattr(request, "sensitive_post_parameters", ()))


class ClosedFilter(SafeExceptionReporterFilter):
    """Stars for every value that was typed and every variable of every frame.

    The library's own filter leaves variables alone that its views never named: a cleaned form, a
    row, a letter half written.
    """

    def is_active(self, request: HttpRequest | None) -> bool:
        return _marked(request) or super().is_active(request)

    def get_post_parameters(self, request: HttpRequest | None) -> Any:
        if request is None or not self.is_active(request):
            return super().get_post_parameters(request)
        closed = QueryDict(mutable=True)
        for name in request.POST:
            closed[name] = self.cleansed_substitute
        return closed

    def get_traceback_frame_variables(
        self, request: HttpRequest | None, tb_frame: FrameType
    ) -> ItemsView[str, Any]:
        if not self.is_active(request):
            return super().get_traceback_frame_variables(request, tb_frame)
        return dict.fromkeys(tb_frame.f_locals, self.cleansed_substitute).items()


class ClosedReporter(ExceptionReporter):
    """A report whose errors do not quote the value they stumbled over."""

    def get_traceback_data(self) -> dict[str, Any]:
        data = super().get_traceback_data()
        if not self.filter.is_active(self.request):
            return data
        if "exception_value" in data:
            data["exception_value"] = self._said(self.exc_value)
        data.pop("exception_notes", None)
        data["unicode_hint"] = ""
        for frame in data["frames"]:
            cause = frame.get("exc_cause")
            if isinstance(cause, BaseException):
                frame["exc_cause"] = f"{type(cause).__name__}: {self._said(cause)}"
        return data

    def _said(self, error: BaseException | None) -> str:
        if _marked(self.request):
            return _HIDDEN
        # A database tells below its first line which row it would not take.
        return str(error).split("\n")[0] if isinstance(error, DatabaseError) else str(error)
