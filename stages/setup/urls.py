from django.urls import path

from stages.setup import views

urlpatterns = [
    path("set-up/", views.setup, name="setup"),
    path("set-up/factory/", views.factory, name="factory"),
]
