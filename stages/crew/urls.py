from django.urls import path

from stages.crew import views

urlpatterns = [
    path("set-up/crew/", views.crew, name="crew"),
    path("set-up/crew/new/", views.person, name="new-person"),
    path("set-up/crew/<int:pk>/", views.person, name="person"),
    path("set-up/closed-days/", views.closed, name="closed-days"),
    path("set-up/closed-days/<int:pk>/open/", views.open_days, name="open-days"),
]
