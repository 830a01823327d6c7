from django.urls import path

from stages.promises import views

urlpatterns = [
    path("promises/day/", views.promise_day, name="promise-day"),
    path("promises/first/", views.promise_first, name="promise-first"),
]
