from django.urls import path

from stages.quality import views

urlpatterns = [
    path("boards/<int:number>/qc/", views.sheet, name="board-qc"),
    path("boards/<int:number>/record.pdf", views.record, name="board-record"),
    path("r/<str:token>/record.pdf", views.rider_record, name="rider-record"),
    path("qc/taken/", views.taken, name="qc-taken"),
    path("set-up/quality/", views.rules, name="quality"),
]
