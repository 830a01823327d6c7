from django.urls import path

from orders.customers import views

urlpatterns = [
    path("customers/", views.customers, name="customers"),
    path("customers/find/", views.find, name="find-customers"),
    path("customers/<int:pk>/", views.customer, name="customer"),
    path("customers/<int:pk>/rider/", views.rider, name="rider-particulars"),
]
