"""Photographs and papers: kept with a thing, and given back."""

from __future__ import annotations

from django.contrib.auth.decorators import permission_required
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from equipment.actions.attachments import attach, take_off
from equipment.forms.files import AttachmentForm
from equipment.models import Attachment
from equipment.views.shape import bound, carried_out, fetch, form_page, lead_on


@require_http_methods(["GET", "POST"])
@permission_required("equipment.add_attachment", raise_exception=True)
def attachment_new(request: HttpRequest, pk: int) -> HttpResponse:
    row = fetch(pk)
    form = bound(request, AttachmentForm)

    def keep() -> None:
        sent = form.cleaned_data["file"]
        attach(
            thing=row,
            file=sent,
            size=sent.size,
            title=form.cleaned_data["title"],
            by=request.user,
        )

    if carried_out(form, keep):
        return lead_on(request, row.get_absolute_url(), f"It is kept with {row.label}.")
    return form_page(
        request, form, title=f"A photograph or paper of {row.label}", back=row.get_absolute_url()
    )


@require_safe
@permission_required("equipment.view_attachment", raise_exception=True)
def attachment(request: HttpRequest, pk: int) -> FileResponse:
    """The file, always as a download: nothing in it is ever run by the desk's own address."""
    row = get_object_or_404(Attachment, pk=pk, taken_off_at=None)
    try:
        stream = row.file.open("rb")
    except OSError:
        raise Http404("The file is not in its place.") from None
    response = FileResponse(
        stream,
        as_attachment=True,
        filename=f"{slugify(row.title) or row.kind}{row.suffix}",
        content_type=row.content_type,
    )
    response["X-Content-Type-Options"] = "nosniff"
    response["Cache-Control"] = "private, max-age=3600"
    return response


@require_POST
@permission_required("equipment.change_attachment", raise_exception=True)
def attachment_off(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Attachment.objects.select_related("thing"), pk=pk)
    take_off(attachment=row)
    return lead_on(request, row.thing.get_absolute_url(), f"{row.title} is taken off.")
