"""Papers in date."""

from __future__ import annotations

from django.contrib.auth.decorators import permission_required
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from bookings.views.form_page import form_page, typed
from guiding.safety.actions.papers import save_paper, save_paper_kind, withdraw_paper
from guiding.safety.forms import PaperForm, PaperKindForm, WithdrawForm
from guiding.safety.models import HeldPaper, PaperKind
from guiding.safety.queries.papers import held_papers, standing
from guiding.safety.views.shape import carried_out, lead_on

_FORM = ("GET", "HEAD", "POST")


@require_safe
@permission_required("safety.view_heldpaper", raise_exception=True)
def paper_list(request: HttpRequest) -> HttpResponse:
    """What is asked for here and how it stands today, what is held, and the kinds there are."""
    today = timezone.localdate()
    return render(
        request,
        "safety/paper_list.html",
        {
            "title": "Papers in date",
            "standing": standing(today),
            "papers": held_papers(),
            "kinds": PaperKind.objects.all(),
            "today": today,
        },
    )


@require_http_methods(_FORM)
@permission_required("safety.change_paperkind", raise_exception=True)
def paper_kind(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    row = get_object_or_404(PaperKind, pk=pk) if pk else None
    form = PaperKindForm(typed(request), instance=row)
    if carried_out(form, lambda: save_paper_kind(kind=row, **form.cleaned_data)):
        return lead_on(request, "Saved.", "paper_list")
    return form_page(request, form, row.name if row else "New kind of paper", "safety/form.html")


@require_http_methods(_FORM)
@permission_required("safety.change_heldpaper", raise_exception=True)
def paper(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """A paper; `?kind=` proposes its kind."""
    row = get_object_or_404(HeldPaper, pk=pk) if pk else None
    files = request.FILES if request.method == "POST" else None
    asked = request.GET.get("kind", "")
    initial = {"kind": asked} if asked.isdecimal() else {}
    form = PaperForm(typed(request), files, instance=row, initial=initial)
    if carried_out(form, lambda: save_paper(paper=row, **form.cleaned_data)):
        return lead_on(request, "Paper saved.", "paper_list")
    title = str(row) if row else "New paper"
    return form_page(request, form, title, "safety/paper.html", paper=row)


@require_http_methods(_FORM)
@permission_required("safety.change_heldpaper", raise_exception=True)
def paper_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(HeldPaper, pk=pk)
    form = WithdrawForm(typed(request), initial={"on": timezone.localdate()})
    if carried_out(form, lambda: withdraw_paper(paper=row, **form.cleaned_data)):
        return lead_on(request, "It proves nothing from that day on.", "paper_list")
    return form_page(request, form, f"Withdraw {row}", "safety/form.html")


@require_safe
@permission_required("safety.change_heldpaper", raise_exception=True)
def paper_file(request: HttpRequest, pk: int) -> FileResponse:
    """The scan of a paper, to whoever may change papers."""
    row = get_object_or_404(HeldPaper, pk=pk)
    if not row.file:
        raise Http404("No scan is kept with this paper.")
    kept = f"paper-{pk}.{str(row.file)[-3:]}"
    answer = FileResponse(row.file.open("rb"), as_attachment=True, filename=kept)
    answer["Cache-Control"] = "private, no-store"
    answer["X-Content-Type-Options"] = "nosniff"
    return answer
