from django.urls import path

from stages.defects import views

urlpatterns = [
    path("boards/<int:number>/scrap/", views.scrap, name="board-scrap"),
    path("boards/<int:number>/paid/", views.paid, name="board-paid"),
    path("set-up/defects/", views.kinds, name="defects"),
]
