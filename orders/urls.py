from django.urls import include, path

urlpatterns = [
    path("", include("orders.accounts.urls")),
]
