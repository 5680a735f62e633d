"""Every address of the service."""

from django.contrib.auth.views import LoginView, LogoutView
from django.urls import include, path

from brewery.project import health

urlpatterns = [
    path("healthz", health.alive, name="alive"),
    path("readyz", health.ready, name="ready"),
    path("sign-in/", LoginView.as_view(template_name="shell/sign_in.html"), name="login"),
    path("sign-out/", LogoutView.as_view(), name="logout"),
    path("", include("inventory.pages.urls")),
    path("", include("traceability.pages.urls")),
]
