from django.urls import path

from orders.resins import views

urlpatterns = [
    path("specs/<int:pk>/cloth-and-resin/", views.cloth_and_resin, name="cloth-and-resin"),
    path("set-up/glassing/", views.glass_shop, name="glass-shop"),
    path("set-up/glassing/new/<str:kind>/", views.new_resin, name="new-resin"),
    path("set-up/glassing/resins/<int:pk>/", views.resin, name="resin"),
    path("set-up/glassing/resins/<int:pk>/cup-test/", views.add_cup_test, name="add-cup-test"),
    path("set-up/glassing/resins/<int:pk>/retire/", views.retire_resin, name="retire-resin"),
    path(
        "set-up/glassing/cup-tests/<int:pk>/strike/",
        views.strike_cup_test,
        name="strike-cup-test",
    ),
]
