from django.urls import path, register_converter

from stages.week import views
from stages.week.weeks import WeekConverter

register_converter(WeekConverter, "isoweek")

urlpatterns = [
    path("week/", views.week, name="week"),
    path("week/<isoweek:week>.pdf", views.paper, name="week-paper"),
]
