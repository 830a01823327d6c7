from django.urls import include, path

urlpatterns = [
    path("", include("orders.accounts.urls")),
    path("", include("orders.blanks.urls")),
    path("", include("orders.advice.urls")),
    path("", include("orders.compare.urls")),
    path("", include("orders.customers.urls")),
    path("", include("orders.cutfiles.urls")),
    path("", include("orders.designs.urls")),
    path("", include("orders.orderbook.urls")),
    path("", include("orders.resins.urls")),
    path("", include("orders.rides.urls")),
    path("", include("orders.specs.urls")),
]
