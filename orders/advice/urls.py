from django.urls import path

from orders.advice import views

urlpatterns = [
    path("fit/", views.fit, name="fit"),
    path("fit/keep/", views.keep, name="keep-fit"),
    path("specs/<int:pk>/fit/", views.spec_fit, name="spec-fit"),
]
