from django.urls import path

from stages.turnaround import views

urlpatterns = [
    path("turnaround/", views.turnaround, name="turnaround"),
    path("turnaround/boards/", views.boards, name="turnaround-boards"),
    path("turnaround/boards.csv", views.boards_csv, name="turnaround-csv"),
]
