from django.urls import path

from orders.rides import views

urlpatterns = [
    path("boards/<int:number>/rides/", views.ride_notes, name="ride-notes"),
    path("orders/said/", views.said_by, name="said-by"),
]
