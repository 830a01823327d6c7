from django.urls import path

from stages.devices import views

urlpatterns = [
    path("devices/", views.devices, name="devices"),
    path("devices/<int:pk>/bay/", views.place, name="place-tablet"),
    path("connect/", views.connect, name="connect"),
    path("authority.crt", views.authority, name="authority"),
]
