from django.urls import path

from stages.turnaround import views

urlpatterns = [
    path("turnaround/", views.turnaround, name="turnaround"),
    path("turnaround/times/", views.times, name="turnaround-times"),
    path("turnaround/flow/", views.flow, name="turnaround-flow"),
    path("turnaround/ageing/", views.ageing, name="turnaround-ageing"),
    path("turnaround/indicators/", views.indicators, name="turnaround-indicators"),
    path("turnaround/boards/", views.boards, name="turnaround-boards"),
    path("turnaround/boards.csv", views.boards_csv, name="turnaround-csv"),
]
