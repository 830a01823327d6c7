from django.urls import path

from stages.day import views

urlpatterns = [
    path("my-day/", views.my_day, name="my-day"),
    path("my-day/<int:number>/stopped/", views.stopped, name="stopped"),
]
