from django.urls import path

from stages.wall import views

urlpatterns = [
    path("wall/", views.walls, name="walls"),
    path("wall/<int:pk>/", views.wall, name="wall"),
    path("wall/<int:pk>/boards/", views.wall_boards, name="wall-boards"),
]
