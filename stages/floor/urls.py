from django.urls import path

from stages.floor import views

urlpatterns = [
    path("floor/", views.floor, name="floor"),
    path("floor/racks/", views.floor_racks, name="floor-racks"),
]
