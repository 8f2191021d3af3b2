"""Every address of the project."""

from allauth.account.decorators import secure_admin_login
from django.contrib import admin
from django.urls import include, path

# One door: sign-in, its second factor and its rate limits stand before the repair pages as well.
admin.site.login = secure_admin_login(admin.site.login)  # type: ignore[method-assign]

urlpatterns = [
    path("", include("guiding.desk.urls")),
    path("", include("guiding.safety.urls")),
    path("", include("guiding.days.urls")),
    path("", include("bookings.urls")),
    path("", include("equipment.urls")),
    path("account/", include("allauth.urls")),
    path("repair/", admin.site.urls),
]

handler400 = "guiding.desk.views.errors.bad_request"
handler403 = "guiding.desk.views.errors.forbidden"
handler404 = "guiding.desk.views.errors.not_found"
handler500 = "guiding.desk.views.errors.server_error"
