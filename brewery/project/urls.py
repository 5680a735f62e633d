"""Every address of the service."""

from django.contrib.auth.views import LoginView, LogoutView
from django.urls import include, path

from brewery.kernel.api.absent import Absent
from brewery.project import health

handler400 = "brewery.project.faults.bad_request"
handler500 = "brewery.project.faults.server_error"

api = [
    path("", include("brewery.kernel.api.urls")),
    path("", include("inventory.api.urls")),
    path("", include("brewery.production.api.urls")),
    path("", include("traceability.api.urls")),
]

urlpatterns = [
    path("healthz", health.alive, name="alive"),
    path("readyz", health.ready, name="ready"),
    path("jobsz", health.jobs_are_done, name="jobs-done"),
    path("sign-in/", LoginView.as_view(template_name="shell/sign_in.html"), name="login"),
    path("sign-out/", LogoutView.as_view(), name="logout"),
    path("", include("brewery.kernel.pages.urls")),
    path("", include("inventory.pages.urls")),
    path("", include("brewery.production.pages.urls")),
    path("", include("traceability.pages.urls")),
    path("api/v1/", include(api)),
    path("api/<path:rest>", Absent.as_view(), name="api-absent"),
]
