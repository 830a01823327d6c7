from django.urls import path

from orders.accounts import views

urlpatterns = [
    path("", views.home, name="home"),
    path("sign-in/", views.sign_in, name="sign-in"),
    path("sign-out/", views.sign_out, name="sign-out"),
    path("who/", views.who, name="who"),
    path("who/<int:pk>/", views.pin, name="pin"),
    path("tablets/", views.tablets, name="tablets"),
    path("tablets/<int:pk>/retire/", views.retire_tablet, name="retire-tablet"),
]
