from django.urls import path

from stages.week import views

urlpatterns = [
    path("week/", views.week, name="week"),
    path("week/<str:name>.pdf", views.paper, name="week-paper"),
]
