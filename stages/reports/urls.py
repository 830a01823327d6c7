from django.urls import path

from stages.reports import views

urlpatterns = [path("reports/", views.reports, name="reports")]
