from django.urls import path

from stages.scan import views

urlpatterns = [
    path("scan/", views.scan, name="scan"),
    path("T/<str:code>", views.ticket, name="ticket"),
    path("t/<str:code>", views.ticket_lower, name="ticket-lower"),
    path("log/", views.log, name="log"),
]
