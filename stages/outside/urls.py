from django.urls import path

from stages.outside import views

urlpatterns = [
    path("outside/", views.outside, name="outside"),
    path("outside/<int:pk>/manifest/", views.make, name="make-manifest"),
    path("set-up/outside/", views.bays, name="outside-bays"),
    path("M/<str:code>", views.manifest, name="manifest"),
    path("m/<str:code>", views.manifest_lower, name="manifest-lower"),
    path("M/<str:code>/send/", views.send, name="send-manifest"),
    path("M/<str:code>/back/", views.back, name="manifest-back"),
    path("M/<str:code>/day/", views.new_day, name="manifest-day"),
    path("M/<str:code>/tear/", views.tear, name="tear-manifest"),
    path("M/<str:code>/paper.pdf", views.paper, name="manifest-pdf"),
    path("T/<str:code>/back/", views.board_back, name="board-back"),
]
