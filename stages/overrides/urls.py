from django.urls import path

from stages.overrides import views

urlpatterns = [
    path("stops-passed/", views.overrides, name="overrides"),
    path("stops-passed.csv", views.overrides_csv, name="overrides-csv"),
]
