"""An enquiry out of a pasted message: read and shown on the usual form; you save it."""

from __future__ import annotations

from django.contrib.auth.decorators import permission_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from bookings.forms.people import EnquiryForm, PasteForm
from bookings.models import Business
from bookings.sheets.pasted import pasted_sheet
from bookings.views.form_page import form_page, typed


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.add_party", raise_exception=True)
def party_paste(request: HttpRequest) -> HttpResponse:
    """Writes nothing: what was read stands in the enquiry form, to be confirmed."""
    form = PasteForm(typed(request))
    if request.method == "POST" and form.is_valid():
        text = form.cleaned_data["text"]
        try:
            sheet = pasted_sheet(text, business=Business.objects.get(), on=timezone.localdate())
        except ValueError as refusal:
            form.add_error("text", str(refusal))
        else:
            enquiry = EnquiryForm(initial=sheet.initial)
            enquiry.helper.form_action = reverse("party_new")
            context = {"title": "New enquiry", "form": enquiry, "sheet": sheet, "text": text}
            return render(request, "bookings/party_pasted.html", context)
    return form_page(request, form, "Enquiry from a message")
