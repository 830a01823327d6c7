from django.urls import path

from stages.setup import views

urlpatterns = [
    path("start/", views.start, name="start"),
    path("set-up/", views.setup, name="setup"),
    path("set-up/factory/", views.factory, name="factory"),
    path("set-up/stages/confirm/", views.confirm_stages, name="confirm-stages"),
]
