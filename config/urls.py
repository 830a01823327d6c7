"""Every address. Each feature keeps its own; here they are only gathered."""

from django.urls import include, path

urlpatterns = [
    path("", include("stages.urls")),  # first, since a scan is what is asked most
    path("", include("orders.urls")),
]

handler403 = "orders.accounts.views.not_allowed"
handler404 = "orders.accounts.views.not_found"
handler500 = "config.faults.server_error"
