from django.urls import path

from stages.forecast import views

urlpatterns = [
    path("dates/", views.dates, name="dates"),
    path("set-up/dates/", views.rules, name="date-rules"),
]
