from django.urls import path

from stages.morning import views

urlpatterns = [
    path("morning/", views.morning, name="morning"),
    path("morning/newer/", views.newer, name="morning-newer"),
    path("morning/<int:number>/ahead/", views.ahead, name="ahead"),
    path("morning/<int:number>/line/", views.put_in_line, name="put-in-line"),
]
