from django.urls import path

from stages.yields import views

urlpatterns = [
    path("quality-over-time/", views.quality_over_time, name="quality-over-time"),
    path("quality-over-time/boards/", views.quality_boards, name="quality-over-time-boards"),
]
