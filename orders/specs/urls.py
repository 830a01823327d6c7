from django.urls import path

from orders.specs import views

urlpatterns = [
    path("specs/<int:pk>/", views.spec, name="spec"),
]
